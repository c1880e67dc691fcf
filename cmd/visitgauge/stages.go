package main

import (
	"io"
	"time"

	"github.com/schollz/progressbar/v3"
)

// stages shows on a terminal how far a run of several stages is, each of so many
// things, once it takes long. It is for one goroutine at a time.
type stages struct {
	to    io.Writer // nil where nothing is shown
	began time.Time
	doing string
	bar   *progressbar.ProgressBar // nil until patience is over
}

// newStages shows stages on a stream, if that is a terminal.
func newStages(to io.Writer) *stages {
	s := &stages{began: time.Now()}
	if isTerminal(to) {
		s.to = to
	}
	return s
}

// step says how many of how many things of a stage are done. What cannot be shown
// is left out: progress is no result.
func (s *stages) step(doing string, done, of int) {
	if s.to == nil || s.bar == nil && time.Since(s.began) < patience {
		return
	}
	if s.doing != doing {
		s.end()
		s.doing = doing
		s.bar = progressbar.NewOptions(of,
			progressbar.OptionSetWriter(s.to),
			progressbar.OptionSetDescription(doing),
			progressbar.OptionShowCount(),
			progressbar.OptionThrottle(100*time.Millisecond),
			progressbar.OptionClearOnFinish(),
		)
	}
	_ = s.bar.Set(done)
}

// end takes away what is shown.
func (s *stages) end() {
	if s.bar != nil {
		_ = s.bar.Finish()
		s.bar, s.doing = nil, ""
	}
}
