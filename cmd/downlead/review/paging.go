package review

// paging is which page of a list is shown, with the links to its neighbours.
type paging struct {
	Page, Pages   int
	Before, After string
}

// page makes a page of a list; pick chooses it among so many, and link leads to one.
func page[T any](all []T, size int, pick func(pages int) int, link func(page int) string) (paging, []T) {
	p := paging{Pages: max(1, (len(all)+size-1)/size)}
	p.Page = min(max(pick(p.Pages), 1), p.Pages)
	if p.Page > 1 {
		p.Before = link(p.Page - 1)
	}
	if p.Page < p.Pages {
		p.After = link(p.Page + 1)
	}
	from := (p.Page - 1) * size
	return p, all[from:min(from+size, len(all))]
}
