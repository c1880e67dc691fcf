package main

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"
)

// TestLongCommandsCanBeInterrupted interrupts commands that tell nothing before they
// have ended: they say so in a sentence, write nothing, and end with the code that their
// help gives.
func TestLongCommandsCanBeInterrupted(t *testing.T) {
	for _, args := range []string{
		"rules test ../../policies/1.0.0",
		"rules check ../../policies/1.0.0",
		"rules probe ../../testdata/demo/V-0101.json",
		"rules compare 1.0.0 1.1.0",
	} {
		for _, after := range []time.Duration{0, 1500 * time.Millisecond} {
			ctx, cancel := context.WithCancel(t.Context())
			time.AfterFunc(after, cancel)
			var out, told bytes.Buffer
			code := run(ctx, strings.Fields(args), strings.NewReader(""), &out, &told)
			cancel()
			if code != exitUnjudged || out.Len() > 0 || !strings.HasSuffix(told.String(), "interrupted\n") || strings.Count(told.String(), "\n") != 1 {
				t.Errorf("%s, interrupted after %v: code %d, output %q, said %q", args, after, code, out.String(), told.String())
			}
		}
	}
}
