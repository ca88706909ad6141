package review

import (
	"testing"

	"github.com/chromedp/chromedp"

	"downlead/cmd/downlead/axe"
)

// TestAccessibility has axe-core judge every page, light and dark, on a small
// screen and a large one, with everything that folds unfolded. Its rules are
// those of the Web Content Accessibility Guidelines 2.2, levels A and AA, and
// its best practices. No finding of any weight is let through.
func TestAccessibility(t *testing.T) {
	source := axe.Source(t)
	s := halfwaySite(t)
	b := newTab(t, s)
	type violation struct {
		ID, Impact, Help string
		Nodes            []string
	}
	for _, look := range []struct {
		width  int64
		scheme string
	}{{360, "light"}, {1280, "dark"}} {
		b.do(chromedp.EmulateViewport(look.width, 900), media(look.scheme))
		for name, path := range pages() {
			b.open(path)
			eval[bool](b, `document.querySelectorAll("details").forEach(d => { d.open = true; }), true`)
			eval[bool](b, source+"; true")
			found, err := chromedp.Run(b.ctx, chromedp.Evaluate[[]violation](`axe.run(document, {resultTypes: ["violations"]}).then(r => r.violations.map(v =>
				({ID: v.id, Impact: v.impact, Help: v.help, Nodes: v.nodes.slice(0, 3).map(n => n.html.slice(0, 160) + " | " + n.failureSummary)})))`, chromedp.EvalAwaitPromise))
			if err != nil {
				t.Fatal(err)
			}
			for _, v := range found {
				t.Errorf("%s, %d px, %s: %s (%s): %s\n%q", name, look.width, look.scheme, v.ID, v.Impact, v.Help, v.Nodes)
			}
		}
	}
}
