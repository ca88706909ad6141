package pdf

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/xml"
	"fmt"
	"math"
	"regexp"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// What ISO 19005-2 (PDF/A-2, level B) asks beyond embedded fonts: metadata as
// XMP that says so, the colour space that red, green and blue are of, and an
// identifier of the file in its trailer.

// metadata is the document's information as XMP (ISO 16684-1).
func metadata(info SheetInfo) []byte {
	text := func(s string) string {
		var b bytes.Buffer
		_ = xml.EscapeText(&b, []byte(s)) // a buffer takes everything
		return b.String()
	}
	made, tool := info.Made.UTC().Format(time.RFC3339), text("downlead "+info.Product)
	alt := func(name, s string) string {
		return fmt.Sprintf("<dc:%s><rdf:Alt><rdf:li xml:lang=\"x-default\">%s</rdf:li></rdf:Alt></dc:%[1]s>\n", name, text(s))
	}
	var b bytes.Buffer
	b.WriteString("<?xpacket begin=\"\uFEFF\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n" +
		`<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">` + "\n" +
		`<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/"` +
		` xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/">` + "\n" +
		"<pdfaid:part>2</pdfaid:part><pdfaid:conformance>B</pdfaid:conformance>\n<dc:format>application/pdf</dc:format>\n" +
		"<dc:language><rdf:Bag><rdf:li>en</rdf:li></rdf:Bag></dc:language>\n")
	b.WriteString(alt("title", info.Title))
	if info.Subject != "" {
		b.WriteString(alt("description", info.Subject))
	}
	if info.Author != "" {
		fmt.Fprintf(&b, "<dc:creator><rdf:Seq><rdf:li>%s</rdf:li></rdf:Seq></dc:creator>\n", text(info.Author))
	}
	fmt.Fprintf(&b, "<xmp:CreatorTool>%s</xmp:CreatorTool><pdf:Producer>%[1]s</pdf:Producer>\n<xmp:CreateDate>%s</xmp:CreateDate><xmp:ModifyDate>%[2]s</xmp:ModifyDate>\n", tool, made)
	b.WriteString("</rdf:Description></rdf:RDF></x:xmpmeta>\n<?xpacket end=\"r\"?>")
	return b.Bytes()
}

// colours says what the document's red, green and blue are.
func colours() fpdf.OutputIntentType {
	return fpdf.OutputIntentType{
		SubtypeIdent: "GTS_PDFA1", OutputConditionIdentifier: "sRGB IEC61966-2.1", Info: "sRGB IEC61966-2.1", ICCProfile: srgb(),
	}
}

// srgb is a colour profile of sRGB (ICC.1:2001-04, version 2.4): the curve of
// IEC 61966-2-1 and its primaries, seen under D50 by the Bradford transform
// (values of B. Lindbloom's tables).
func srgb() []byte {
	be := binary.BigEndian
	fixed := func(b []byte, v ...float64) []byte {
		for _, x := range v {
			b = be.AppendUint32(b, uint32(int32(math.Round(x*65536))))
		}
		return b
	}
	xyz := func(x, y, z float64) []byte { return fixed([]byte("XYZ \x00\x00\x00\x00"), x, y, z) }
	desc := func(s string) []byte {
		b := be.AppendUint32([]byte("desc\x00\x00\x00\x00"), uint32(len(s)+1))
		return append(append(b, s...), make([]byte, 1+8+3+67)...)
	}
	const points = 1024
	curve := be.AppendUint32([]byte("curv\x00\x00\x00\x00"), points)
	for i := range points {
		v := float64(i) / (points - 1)
		if v <= 0.04045 {
			v /= 12.92
		} else {
			v = math.Pow((v+0.055)/1.055, 2.4)
		}
		curve = be.AppendUint16(curve, uint16(math.Round(v*65535)))
	}
	d50 := []float64{0.9642, 1, 0.8249}
	tags := []struct {
		name string
		data []byte
	}{
		{"desc", desc("sRGB IEC61966-2.1")},
		{"cprt", []byte("text\x00\x00\x00\x00No copyright, use freely\x00")},
		{"wtpt", xyz(d50[0], d50[1], d50[2])},
		{"rXYZ", xyz(0.4360747, 0.2225045, 0.0139322)},
		{"gXYZ", xyz(0.3850649, 0.7168786, 0.0971045)},
		{"bXYZ", xyz(0.1430804, 0.0606169, 0.7141733)},
		{"rTRC", curve},
		{"gTRC", curve},
		{"bTRC", curve},
	}
	table, body := be.AppendUint32(nil, uint32(len(tags))), []byte(nil)
	begin := 128 + 4 + 12*len(tags)
	at := 0
	for i, t := range tags {
		if i == 0 || &t.data[0] != &tags[i-1].data[0] { // the three curves are one
			at = begin + len(body)
			body = append(body, t.data...)
			body = append(body, make([]byte, (4-len(body)%4)%4)...)
		}
		table = append(table, t.name...)
		table = be.AppendUint32(be.AppendUint32(table, uint32(at)), uint32(len(t.data)))
	}
	head := be.AppendUint32(nil, uint32(begin+len(body)))
	head = append(head, "\x00\x00\x00\x00\x02\x40\x00\x00mntrRGB XYZ "...)
	for _, n := range []uint16{2026, 1, 1, 0, 0, 0} {
		head = be.AppendUint16(head, n)
	}
	head = append(head, "acsp"...)
	head = append(head, make([]byte, 68-len(head))...)
	head = fixed(head, d50...)
	head = append(head, make([]byte, 128-len(head))...)
	return append(append(head, table...), body...)
}

// identified gives a written document an identifier made from its own bytes,
// and mends the library's trailer, which names a colour profile where the
// document's information stands before it. The trailer lies behind everything
// that is found by its place.
func identified(doc []byte) ([]byte, error) {
	trailer := regexp.MustCompile(`(?s)\ntrailer\n<<\n/Size (\d+)\n/Root (\d+) 0 R\n/Info (\d+) 0 R\n>>\nstartxref\n(\d+)\n%%EOF\n?$`)
	found := trailer.FindSubmatchIndex(doc)
	info := regexp.MustCompile(`\n(\d+) 0 obj\n<<\n/Producer `).FindAllSubmatch(doc, -1)
	if found == nil || len(info) != 1 {
		return nil, fmt.Errorf("write pdf: the document's end is not as expected")
	}
	part := func(i int) []byte { return doc[found[2*i]:found[2*i+1]] }
	sum := sha256.Sum256(doc)
	end := fmt.Sprintf("\ntrailer\n<<\n/Size %s\n/Root %s 0 R\n/Info %s 0 R\n/ID [<%x><%[4]x>]\n>>\nstartxref\n%s\n%%%%EOF\n",
		part(1), part(2), info[0][1], sum[:16], part(4))
	return append(doc[:found[0]:found[0]], end...), nil
}
