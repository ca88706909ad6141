package pdf

import (
	"slices"

	"downlead/export/closeout"
	"downlead/export/figure"
)

// figureGap is free between figures that stand side by side, millimetres.
const figureGap = 2.0

// closeoutFigures draws the path, with the levels beside it as far as they go,
// the others below.
func (s *Sheet) closeoutFigures(c closeout.Closeout) {
	levels := figure.NewLevels(c, figure.Paper(s, figure.LevelWidth))
	width := s.Width()
	if len(levels) > 0 {
		width -= figure.LevelWidth + figureGap
	}
	path := figure.NewPath(c, figure.Paper(s, width))
	height := millimetres(path.Height) + figure.LegendHeight
	beside := height
	if len(levels) > 0 {
		beside = max(beside, millimetres(levels[0].Height))
	}
	const some = 40.0 // millimetres with which one begins that is longer than a page
	keep := beside
	if keep > s.most()-8 {
		keep = some
	}
	s.Heading("Signal path", keep)
	whole := s.Y+beside <= s.bottom()
	top, below := s.Y, levels
	for i, p := range path.Pages(units(s.bottom()-s.Y-figure.LegendHeight), units(s.most()-figure.LegendHeight)) {
		if i > 0 {
			s.newPage()
		}
		p.Draw(s, PageMargin, s.Y)
		s.Y += millimetres(p.Height)
	}
	s.Y += figure.LegendHeight
	path.Legend(s, PageMargin, s.Y-1.2)
	if whole { // the column beside it
		y := top
		for _, f := range levels[:s.column(levels, height, s.bottom()-top)] {
			f.Draw(s, PageMargin+width+figureGap, y)
			y += millimetres(f.Height)
			below = below[1:]
		}
		s.Y = max(s.Y, y)
	}
	s.closeoutLevels(below)
	if len(levels) > 0 {
		s.need(TextLine)
		s.Y += 2.5
		s.Text(PageMargin, s.Y, 6, false, figure.Left, figure.Gray, figure.LevelLegend(levels))
		s.Y += 1
	}
}

// column is how many of the levels stand beside the path, which is so high,
// for all to take the least room.
func (s *Sheet) column(levels []figure.Level, path, room float64) int {
	best, least, beside := 0, 0.0, 0.0
	for k := 0; k <= len(levels); k++ {
		if k > 0 {
			beside += millimetres(levels[k-1].Height)
		}
		if beside > room {
			break
		}
		all := max(path, beside)
		for _, row := range s.rows(levels[k:]) {
			all += tallest(row)
		}
		if k == 0 || all < least {
			best, least = k, all
		}
	}
	return best
}

// rows parts level figures into rows of as many as there is room for.
func (s *Sheet) rows(levels []figure.Level) [][]figure.Level {
	return slices.Collect(slices.Chunk(levels, int((s.Width()+figureGap)/(figure.LevelWidth+figureGap))))
}

func tallest(levels []figure.Level) float64 {
	h := 0.0
	for _, f := range levels {
		h = max(h, millimetres(f.Height))
	}
	return h
}

// closeoutLevels draws level figures in rows.
func (s *Sheet) closeoutLevels(levels []figure.Level) {
	for _, row := range s.rows(levels) {
		h := tallest(row)
		s.need(h)
		for i, f := range row {
			f.Draw(s, PageMargin+float64(i)*(figure.LevelWidth+figureGap), s.Y)
		}
		s.Y += h
	}
}

// most is how high a page is for what stands on it, millimetres.
func (s *Sheet) most() float64 { return s.bottom() - PageMargin }

func millimetres(units int) float64 { return float64(units) * figure.PaperUnit }

func units(mm float64) int { return int(mm / figure.PaperUnit) }
