package main

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

func TestProgressWaitsForALongRun(t *testing.T) {
	var terminal bytes.Buffer
	p := &progress{to: &terminal, began: time.Now()}
	p.step()
	if terminal.Len() > 0 {
		t.Errorf("a run that just began shows %q", terminal.String())
	}
	p.began = p.began.Add(-patience)
	p.step()
	if !strings.Contains(terminal.String(), "judging") || !strings.Contains(terminal.String(), "(2/-") {
		t.Errorf("a long run shows %q, want that 2 were judged", terminal.String())
	}

	// What is written beside it finds the line free.
	var out bytes.Buffer
	beside := &asideWriter{progress: p, out: &out}
	terminal.Reset()
	if _, err := beside.Write([]byte("report\n")); err != nil || out.String() != "report\n" {
		t.Errorf("%q was written, error %v", out.String(), err)
	}
	if !strings.HasPrefix(terminal.String(), "\r") {
		t.Errorf("the line was not cleared: %q", terminal.String())
	}

	p.end()
	terminal.Reset()
	p.step()
	p.end()
	if terminal.Len() > 0 {
		t.Errorf("after the end %q is shown", terminal.String())
	}
}

func TestProgressIsForTerminals(t *testing.T) {
	var file bytes.Buffer
	p := newProgress(&file)
	p.began = p.began.Add(-patience)
	p.step()
	p.end()
	if file.Len() > 0 {
		t.Errorf("%q was written to what is no terminal", file.String())
	}
	if out := p.aside(&file); out != &file {
		t.Errorf("output goes by %T", out)
	}
}
