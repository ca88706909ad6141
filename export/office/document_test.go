package office

import (
	"encoding/json"
	"os"
	"reflect"
	"strings"
	"testing"

	"downlead/export/office/officetest"
)

// The server is the judge: what it makes of a document has its members in the
// order in which they were written, and says the same.
func TestDocumentsComeInTheServersOrder(t *testing.T) {
	s := officetest.Start(t)
	jobs := jobsOf(t, reader(t, officetest.Write(t, t.TempDir(), "Ana Example", 40, 3)))
	docs := []any{
		map[string]any{},
		[]any{},
		[]int{1, 2},
		"x", 1.5, nil, true,
		[]any{[]any{}, map[string]any{}, nil},
		map[string]any{"b": 1, "aa": "a\"}{,]\\", "a": []any{map[string]any{"zz": "", "y": nil}, false}, "é": 0, "ccc": map[string]int{}},
	}
	for _, j := range jobs {
		docs = append(docs, j.Work, j.Lesson)
		for _, v := range j.Visits {
			docs = append(docs, v.Closeout)
		}
	}
	for _, v := range docs {
		text, err := document(v)
		if err != nil {
			t.Fatal(err)
		}
		plain, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		var got, want any
		if err := json.Unmarshal([]byte(text), &got); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		if err := json.Unmarshal(plain, &want); err != nil || !reflect.DeepEqual(got, want) {
			t.Fatalf("%s became %s", plain, text)
		}
		path := s.Folder(t) + "/document.json"
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		kept := s.SQL(t, "SELECT pg_read_file('"+path+"')::jsonb", "-At")
		if got, want := order(text), order(kept); got != want {
			t.Fatalf("the server's order is %s, written was %s", want, got)
		}
	}
}

// order are the strings of a JSON text as they follow each other: its names, and
// the values between them.
func order(text string) string {
	var out []string
	for d := json.NewDecoder(strings.NewReader(text)); ; {
		k, err := d.Token()
		if err != nil {
			return strings.Join(out, "|")
		}
		if s, ok := k.(string); ok {
			out = append(out, s)
		}
	}
}
