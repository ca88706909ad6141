package figure

import "strings"

// Leaf is what the review page shows of a record: drawings, the same as
// tables, and sentences.
type Leaf struct {
	Drawings []Drawing
	Tables   []Table
	Notes    []string
}

// Drawing is an SVG image with its own title and description.
type Drawing struct{ Title, SVG string }

// Table has a head a column; the first cell of a row is the row's head.
type Table struct {
	Title string
	Head  []string
	Rows  [][]string
	Empty string // what is said where there are no rows
}

// NewDrawing draws with a function that writes SVG.
func NewDrawing(title string, draw func(*strings.Builder) error) (Drawing, error) {
	var b strings.Builder
	err := draw(&b)
	return Drawing{title, b.String()}, err
}
