package replay

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// The picture of a flow, in units of its own: two columns of bars, what was judged on
// the left and what would be on the right, and bands between them as thick as visits
// went that way.
const (
	flowWidth  = 326 // no more than a telephone has, so that words are never made smaller
	flowBar    = 10  // width of a column
	flowSide   = 96  // room for words beside one, and for a number of seven digits
	flowHeight = 160 // of all visits together
	flowGap    = 14  // between the bars of a column
	flowWords  = 26  // height of a number above a word
	flowLeast  = 2   // thickness of what would be too thin to be seen
	flowHead   = 32  // characters that the head of the right column has room for
	flowTop    = 32  // room for the heads of the columns
)

// flow is a picture of transitions.
type flow struct {
	ID, Alt       string
	Head          string // above the right column
	Width, Height int
	Left, Bar     int // x of the left column, and width
	Right         int // x of the right column
	Bars          []flowBox
	Bands         []flowBand
}

type flowBox struct {
	X, Y, H    float64
	Count      int
	Text       string
	TextX      float64
	TextY      float64
	Anchor     string // of the text: start or end
	OnTheRight bool
}

type flowBand struct {
	Path   string
	Turned bool
}

// newFlow draws a part. It is nil where nobody could see anything: with no visit.
func newFlow(p part, under string) *flow {
	all := 0
	for _, t := range p.Transitions {
		all += t.Count
	}
	if all == 0 {
		return nil
	}
	f := &flow{ID: strings.ToLower(p.Name), Width: flowWidth, Left: flowSide, Bar: flowBar, Right: flowWidth - flowSide - flowBar}
	thick := func(n int) float64 {
		if n == 0 {
			return 0
		}
		return max(flowLeast, float64(n)*flowHeight/float64(all))
	}
	f.Head = "under " + under
	if utf8.RuneCountInString(f.Head) > flowHead {
		f.Head = "what if"
	}
	// A bar is as thick as the bands that end at it.
	size := func(answer string, old bool) (float64, int) {
		sum, count := 0.0, 0
		for _, t := range p.Transitions {
			if old && t.Old == answer || !old && t.New == answer {
				sum += thick(t.Count)
				count += t.Count
			}
		}
		return sum, count
	}
	column := func(old bool) map[string]float64 {
		at, y := map[string]float64{}, float64(flowTop)
		for _, answer := range p.Answers {
			h, n := size(answer, old)
			if n == 0 {
				continue
			}
			box := flowBox{X: float64(f.Right), Y: y, H: h, Count: n, Text: answer, TextX: float64(f.Right + flowBar + 6), TextY: y + h/2, Anchor: "start", OnTheRight: true}
			if old {
				box.X, box.TextX, box.Anchor, box.OnTheRight = float64(f.Left), float64(f.Left-6), "end", false
			}
			f.Bars = append(f.Bars, box)
			at[answer] = y
			y += max(h+flowGap, h/2+flowWords)
		}
		f.Height = max(f.Height, int(y))
		return at
	}
	left, right := column(true), column(false)
	for _, old := range p.Answers {
		for _, now := range p.Answers {
			n := p.count(old, now)
			if n == 0 {
				continue
			}
			h, a, b := thick(n), left[old], right[now]
			x, z := float64(f.Left+flowBar), float64(f.Right)
			m := (x + z) / 2
			f.Bands = append(f.Bands, flowBand{Turned: old != now, Path: fmt.Sprintf("M%.1f %.1fC%.1f %.1f %.1f %.1f %.1f %.1fV%.1fC%.1f %.1f %.1f %.1f %.1f %.1fZ",
				x, a, m, a, m, b, z, b, b+h, m, b+h, m, a+h, x, a+h)})
			left[old] += h
			right[now] += h
		}
	}
	// What turned lies on top, where it can be seen.
	slices.SortStableFunc(f.Bands, func(a, b flowBand) int { return boolean(a.Turned) - boolean(b.Turned) })
	f.Alt = fmt.Sprintf("The same visits on both sides; a band is as thick as there are visits, hatched where they turned: %s.", strings.Join(append([]string{turnedWords(p)}, p.turns()...), "; "))
	return f
}

// turnedWords says how many visits of a part turned.
func turnedWords(p part) string {
	if n := p.turned(); n > 0 {
		return fmt.Sprintf("%d turned", n)
	}
	return "none turned"
}

// bar is a strip of up to three kinds of things, each as wide as there are many.
type bar struct{ Segments []segment }

type segment struct {
	X, Y, W, H float64
	Kind       string // solid, hatched or open
}

const barWidth = 160

// newBar draws counts on a scale on which most is as wide as a bar can be.
func newBar(most int, solid, hatched, open int) bar {
	var b bar
	x := 0.0
	for _, s := range []struct {
		n    int
		kind string
	}{{solid, "solid"}, {hatched, "hatched"}, {open, "open"}} {
		if s.n == 0 || most == 0 {
			continue
		}
		w := max(2, float64(s.n)*barWidth/float64(most))
		b.Segments = append(b.Segments, segment{X: x, Y: 1, W: w, H: 12, Kind: s.kind})
		x += w
	}
	return b
}

// newPair draws what was counted as judged above what would be, on one scale.
func newPair(most, old, now int) bar {
	var b bar
	for i, n := range []int{old, now} {
		if n > 0 {
			w := max(2, float64(n)*barWidth/float64(most))
			b.Segments = append(b.Segments, segment{X: 1, Y: float64(1 + 7*i), W: w, H: 5, Kind: []string{"open", "solid"}[i]})
		}
	}
	return b
}
