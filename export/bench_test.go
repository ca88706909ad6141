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
	"downlead/export/office"
	"downlead/export/pdf"
)

// BenchmarkPDF writes the closeout of an ordinary call; with -benchtime=1000x
// a thousand of them.
func BenchmarkPDF(b *testing.B) {
	c := closeoutOf(b, twoFaults(b))
	b.ReportAllocs()
	for b.Loop() {
		if err := pdf.WriteCloseout(c, io.Discard); err != nil {
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

// BenchmarkOffice stores closeouts into a real PostgreSQL, a transaction
// each; synchronous commits, but the test server's files are not synced.
func BenchmarkOffice(b *testing.B) {
	o := open(b, server(b))
	c := closeoutOf(b, twoFaults(b))
	rows := len(c.Rows())
	b.ResetTimer()
	for i := 0; b.Loop(); i++ {
		c.Job, c.Journal.Head = fmt.Sprint(i), fmt.Sprintf("%064x", i)
		if added, err := o.Put(context.Background(), c); err != nil || !added {
			b.Fatal(added, err)
		}
	}
	b.ReportMetric(float64(b.N*rows)/b.Elapsed().Seconds(), "rows/s")
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "jobs/s")
}

func BenchmarkParquet(b *testing.B) {
	const n = 1000
	all := make([]closeout.Closeout, n)
	c := closeoutOf(b, twoFaults(b))
	for i := range all {
		all[i] = c
		all[i].Job = fmt.Sprint(i)
	}
	rows := n * len(c.Rows())
	for b.Loop() {
		if err := office.Parquet(io.Discard, all, nil); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N*rows)/b.Elapsed().Seconds(), "rows/s")
}
