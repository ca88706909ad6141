package archive

import (
	"fmt"
	"io"
	"strings"

	"downlead/export/closeout"
)

// ReadmeName explains the archive to whoever has nothing but the folder.
const ReadmeName = "README.txt"

// writeReadme says what the files are, and how to check them without downlead.
// The commands are complete: they run as they stand, in the folder.
func writeReadme(w io.Writer, c closeout.Closeout, parts []archivePart) error {
	var b strings.Builder
	fmt.Fprintf(&b, "Record of job %s, written by downlead %s as of %s\n\nWHAT IS HERE\n", c.Job, c.Product, c.AsOf.UTC().Format("2006-01-02 15:04 MST"))
	records := false
	for _, p := range parts {
		records = records || p.name == RecordsName
		fmt.Fprintf(&b, "  %-22s %s\n", p.name, partWords(p.name))
	}
	fmt.Fprintf(&b, "  %-22s %s\n", ManifestName, "the SHA-256 sum of each of these files")
	b.WriteString(`
HOW TO CHECK IT WITHOUT DOWNLEAD
Open a terminal in this folder. Each command prints what does not fit.

1. No file was changed or lost (Linux; on macOS: shasum -a 256 -c SHA256SUMS):

    sha256sum -c SHA256SUMS
`)
	if records {
		fmt.Fprintf(&b, readmeRecords, c.Job)
	}
	fmt.Fprintf(&b, `
WHAT THAT PROVES
That the folder fits itself. Whoever changed all of it, the sums too, is found out
by what was kept elsewhere: the journal's head, as it was printed on paper or sent
when the record was made. This archive says

    head  %s
    count %d

With downlead:  downlead verify --archive FOLDER --head HEAD --count COUNT
`, c.Journal.Head, c.Journal.Count)
	_, err := io.WriteString(w, b.String())
	return err
}

const readmeRecords = `
2. Every record of job %s fits its hash, and names the record before it. A record's
   hash is the SHA-256 of the hash before it, 32 bytes, and then of its body, byte
   for byte as it stands in the line:

    python3 -c '
import hashlib, json
last = None
for line in open("records.jsonl", encoding="utf-8"):
    r = json.loads(line)
    body = line[len("{\"body\":"):line.rindex(",\"prev\":")].encode()
    seq = r["body"]["seq"]
    if hashlib.sha256(bytes.fromhex(r["prev"]) + body).hexdigest() != r["hash"]:
        print("record", seq, "does not fit its hash")
    if last and last[0] + 1 == seq and last[1] != r["prev"]:
        print("record", seq, "does not follow record", last[0])
    last = seq, r["hash"]
print("records read to the end:", last[0], last[1])
'

3. The same of the first record, with openssl; both lines it prints are equal:

    line=$(head -n 1 records.jsonl)
    prev=$(printf %%s "$line" | sed "s/.*,\"prev\":\"\([0-9a-f]*\)\",\"hash\":\"[0-9a-f]*\"}$/\1/")
    printf %%s "$line" | sed "s/.*\"hash\":\"\([0-9a-f]*\)\"}$/\1/"; echo
    { printf %%s "$prev" | xxd -r -p; printf %%s "$line" | sed "s/^{\"body\":\(.*\),\"prev\":\"[0-9a-f]*\",\"hash\":\"[0-9a-f]*\"}$/\1/" | tr -d "\n"; } | openssl dgst -sha256 -r
`

// partWords says what a file of the archive is.
func partWords(name string) string {
	known := map[string]string{
		"closeout.json": "the record, for programs; its form is closeout.schema.json", "closeout.schema.json": "JSON Schema 2020-12 of closeout.json",
		"closeout.pdf": "the record, for people", "closeout.txt": "the same as plain text", "closeout.csv": "the same as a table, UTF-8",
		"path.svg": "the signal path", "level.svg": "the level along the path",
		ReadmeName:  "this text",
		RecordsName: "the journal's entries of this job, as they were logged, one a line",
	}
	folder, _, _ := strings.Cut(name, "/")
	switch {
	case known[name] != "":
		return known[name]
	case folder == "photographs":
		return "a photograph, at full size; the number is its entry's"
	}
	return "sound that was kept with consent; the number is its entry's"
}
