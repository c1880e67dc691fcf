package replay

import (
	"fmt"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// machines are those whose state differs after their latest visit, and then the others,
// each by serial.
func machines(r *replay.Replay) []replay.MachineChange {
	out := slices.Clone(r.Machines)
	slices.SortStableFunc(out, func(a, b replay.MachineChange) int { return boolean(b.Latest) - boolean(a.Latest) })
	return out
}

// machinesSummary says how many machines would be in another state now.
func machinesSummary(r *replay.Replay) string {
	latest := 0
	for _, m := range r.Machines {
		latest += boolean(m.Latest)
	}
	text := fmt.Sprintf("After the latest visit judged, %s would have been left in another state", lines.Count(latest, "machine", "machines"))
	if rest := len(r.Machines) - latest; rest > 0 {
		text += fmt.Sprintf("; %s only after earlier ones", lines.Count(rest, "machine", "machines"))
	}
	return text + "."
}

func machineName(m replay.MachineChange) string {
	return m.Serial + ", " + m.Class + ", at " + m.Site
}

// machineVisits says after which visits a machine's state differs, the latest first.
func machineVisits(m replay.MachineChange) string {
	const few = 3
	var out []string
	for i, v := range slices.Backward(m.Visits) {
		if n := len(m.Visits) - few; i < n {
			out = append(out, fmt.Sprintf("and after %s", lines.Count(n, "earlier visit", "earlier visits")))
			break
		}
		day, _, _ := strings.Cut(v.Started, "T")
		text := fmt.Sprintf("%s of %s: %s → %s", v.Visit, day, v.Old, v.New)
		if m.Latest && i == len(m.Visits)-1 {
			text = "latest visit " + text
		}
		out = append(out, text)
	}
	return strings.Join(out, "; ")
}
