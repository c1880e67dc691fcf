package main

import (
	"cmp"
	"io"
	"time"

	"github.com/schollz/progressbar/v3"
)

// patience is how long a run may take before it shows how far it is.
const patience = 2 * time.Second

// progress shows on a terminal how many visits were dealt with so far, once a run
// takes long. How many are still to come is not known before they are read. It
// is for one goroutine at a time.
type progress struct {
	to    io.Writer // nil where nothing is shown
	doing string    // "judging" if empty
	what  string    // in the plural; "visits" if empty
	began time.Time
	done  int
	bar   *progressbar.ProgressBar // nil until patience is over
}

// newProgress shows progress on a stream, if that is a terminal.
func newProgress(to io.Writer) *progress {
	p := &progress{began: time.Now()}
	if isTerminal(to) {
		p.to = to
	}
	return p
}

// step counts one more. What cannot be shown is left out: progress is no result.
func (p *progress) step() {
	p.done++
	if p.to == nil || p.bar == nil && time.Since(p.began) < patience {
		return
	}
	if p.bar == nil {
		p.bar = progressbar.NewOptions(-1,
			progressbar.OptionSetWriter(p.to),
			progressbar.OptionSetDescription(cmp.Or(p.doing, "judging")),
			progressbar.OptionSetItsString(cmp.Or(p.what, "visits")),
			progressbar.OptionShowCount(),
			progressbar.OptionShowIts(),
			progressbar.OptionThrottle(100*time.Millisecond),
			// With an interval the library draws from a goroutine of its own, and so
			// into lines of the report that go to the same terminal.
			progressbar.OptionSetSpinnerChangeInterval(0),
			progressbar.OptionClearOnFinish(),
		)
	}
	_ = p.bar.Set(p.done)
}

// end takes away what is shown.
func (p *progress) end() {
	if p.bar != nil {
		_ = p.bar.Finish()
		p.bar = nil
		p.to = nil
	}
}

// aside is a writer that first makes room for what it writes, which may come to
// the same terminal.
func (p *progress) aside(out io.Writer) io.Writer {
	if p.to == nil || !isTerminal(out) {
		return out
	}
	return &asideWriter{progress: p, out: out}
}

type asideWriter struct {
	progress *progress
	out      io.Writer
}

func (a *asideWriter) Write(data []byte) (int, error) {
	if a.progress.bar != nil {
		_ = a.progress.bar.Clear()
	}
	return a.out.Write(data)
}
