package export

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"testing"

	"downlead/export/archive"
	"downlead/export/closeout"
	"downlead/export/file"
	"downlead/export/pdf"
)

// BenchmarkPDF writes the closeout of an ordinary call; with -benchtime=1000x
// a thousand of them.
func BenchmarkPDF(b *testing.B) {
	c := closeoutOf(b, twoFaults(b))
	b.ReportAllocs()
	for b.Loop() {
		if err := pdf.WriteCloseout(c, io.Discard, pdf.Options{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "documents/s")
}

func BenchmarkNewCloseout(b *testing.B) {
	in := twoFaults(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := closeout.NewCloseout(in); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkArchives writes whole archive folders, synced to the disk.
func BenchmarkArchives(b *testing.B) {
	in, dir := withFiles(b), b.TempDir()
	for i := 0; b.Loop(); i++ {
		if err := archive.WriteArchive(context.Background(), filepath.Join(dir, fmt.Sprint(i)), in, file.FileOptions{}, nil); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "folders/s")
}
