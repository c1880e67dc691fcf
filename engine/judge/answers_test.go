package judge

import (
	"fmt"
	"testing"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// The short names keep the tables readable: one outcome a row.
func procedure(s verdict.Severity, v verdict.Value, b verdict.Because) verdict.Outcome {
	return verdict.Outcome{Concern: verdict.Procedure, Subject: "visit", Severity: s, Outcome: v, Because: b}
}

func condition(s verdict.Severity, v verdict.Value, b verdict.Because) verdict.Outcome {
	return verdict.Outcome{Concern: verdict.Condition, Subject: "cell B1.2", Severity: s, Outcome: v, Because: b}
}

func conceded(o verdict.Outcome) verdict.Outcome {
	o.ConcededBy = "C-4"
	return o
}

func programme(s verdict.Severity, v verdict.Value, b verdict.Because) verdict.Outcome {
	return verdict.Outcome{Concern: verdict.Programme, Subject: "visit", Severity: s, Outcome: v, Because: b}
}

func TestAccept(t *testing.T) {
	const (
		crit, maj, min  = verdict.Critical, verdict.Major, verdict.Minor
		bad, open, good = verdict.Nonconforming, verdict.Indeterminate, verdict.Conforming
		ev, lim, st     = verdict.Evidence, verdict.Limit, verdict.State
	)
	accepted := verdict.Acceptance{Value: verdict.Accepted}
	remarks := verdict.Acceptance{Value: verdict.Accepted, Remarks: true}
	rejected := verdict.Acceptance{Value: verdict.Rejected}
	incomplete := verdict.Acceptance{Value: verdict.Incomplete}
	tests := []struct {
		name     string
		outcomes []verdict.Outcome
		want     verdict.Acceptance
	}{
		{"nothing found", []verdict.Outcome{procedure(crit, good, ""), procedure(maj, verdict.NotApplicable, "")}, accepted},
		{"critical nonconforming", []verdict.Outcome{procedure(crit, bad, "")}, rejected},
		{"major nonconforming", []verdict.Outcome{procedure(maj, bad, "")}, rejected},
		{"major nonconforming, conceded", []verdict.Outcome{conceded(procedure(maj, bad, ""))},
			verdict.Acceptance{Value: verdict.Accepted, Concession: true}},
		{"one conceded, one not", []verdict.Outcome{conceded(procedure(maj, bad, "")), procedure(maj, bad, "")}, rejected},
		{"minor nonconforming", []verdict.Outcome{procedure(min, bad, "")}, remarks},
		{"minor nonconforming, conceded", []verdict.Outcome{conceded(procedure(min, bad, ""))},
			verdict.Acceptance{Value: verdict.Accepted, Concession: true}},
		{"critical indeterminate, evidence", []verdict.Outcome{procedure(crit, open, ev)}, incomplete},
		{"major indeterminate, evidence", []verdict.Outcome{procedure(maj, open, ev)}, incomplete},
		{"minor indeterminate, evidence", []verdict.Outcome{procedure(min, open, ev)}, remarks},
		{"critical indeterminate, limit", []verdict.Outcome{procedure(crit, open, lim)}, accepted},
		{"critical indeterminate, state", []verdict.Outcome{procedure(crit, open, st)}, accepted},
		{"major indeterminate, limit", []verdict.Outcome{procedure(maj, open, lim)}, accepted},
		{"major indeterminate, state", []verdict.Outcome{procedure(maj, open, st)}, accepted},
		{"rejected outweighs incomplete", []verdict.Outcome{procedure(maj, open, ev), procedure(maj, bad, "")}, rejected},
		{"incomplete outweighs remarks", []verdict.Outcome{procedure(min, bad, ""), procedure(maj, open, ev)}, incomplete},
		{"the machine changes nothing", []verdict.Outcome{condition(crit, bad, ""), condition(crit, open, ev)}, accepted},
		{"the service plan changes nothing", []verdict.Outcome{programme(crit, bad, ""), programme(crit, open, ev)}, accepted},
	}
	for _, test := range tests {
		if got := accept(test.outcomes); got != test.want {
			t.Errorf("%s: got %+v, want %+v", test.name, got, test.want)
		}
	}
}

func TestServiceability(t *testing.T) {
	const (
		crit, maj, min  = verdict.Critical, verdict.Major, verdict.Minor
		bad, open, good = verdict.Nonconforming, verdict.Indeterminate, verdict.Conforming
		ev, lim, st     = verdict.Evidence, verdict.Limit, verdict.State
	)
	whole := machineState{completion: verdict.Full, endedAs: "completed"}
	followed := whole
	followed.followedUp = map[string]bool{"cell B1.2": true}
	tagged := whole
	tagged.tags = []verdict.Tag{{Tag: "T-3"}}
	restricted := whole
	restricted.restrictions = []verdict.Restriction{{ID: "R-2"}}
	expired := whole
	expired.restrictions = []verdict.Restriction{{ID: "R-1"}, {ID: "R-2", Expired: true}}
	ended := func(as string, c verdict.Completion) machineState { return machineState{completion: c, endedAs: as} }

	tests := []struct {
		name     string
		outcomes []verdict.Outcome
		state    machineState
		want     verdict.Serviceability
	}{
		{"no defect found", []verdict.Outcome{condition(crit, good, ""), condition(maj, verdict.NotApplicable, "")}, whole, verdict.Serviceable},
		{"partial service, no defect found", nil, ended("completed", verdict.Partial), verdict.Serviceable},
		{"critical nonconforming", []verdict.Outcome{condition(crit, bad, "")}, whole, verdict.Unserviceable},
		{"critical nonconforming, followed up", []verdict.Outcome{condition(crit, bad, "")}, followed, verdict.Unserviceable},
		{"open tag", nil, tagged, verdict.Unserviceable},
		{"expired restriction", nil, expired, verdict.Unserviceable},
		{"critical indeterminate, evidence", []verdict.Outcome{condition(crit, open, ev)}, whole, verdict.Undetermined},
		{"critical indeterminate, limit", []verdict.Outcome{condition(crit, open, lim)}, whole, verdict.Undetermined},
		{"critical indeterminate, state", []verdict.Outcome{condition(crit, open, st)}, whole, verdict.Undetermined},
		{"major indeterminate, evidence", []verdict.Outcome{condition(maj, open, ev)}, whole, verdict.Undetermined},
		{"major indeterminate, limit", []verdict.Outcome{condition(maj, open, lim)}, whole, verdict.Undetermined},
		{"major indeterminate, state", []verdict.Outcome{condition(maj, open, st)}, whole, verdict.Undetermined},
		{"major indeterminate, followed up", []verdict.Outcome{condition(maj, open, st)}, followed, verdict.Undetermined},
		{"major nonconforming, followed up", []verdict.Outcome{condition(maj, bad, "")}, followed, verdict.Restricted},
		{"major nonconforming, conceded", []verdict.Outcome{conceded(condition(maj, bad, ""))}, whole, verdict.Restricted},
		{"major nonconforming, not followed up", []verdict.Outcome{condition(maj, bad, "")}, whole, verdict.Undetermined},
		{"minor nonconforming", []verdict.Outcome{condition(min, bad, "")}, whole, verdict.Serviceable},
		{"minor nonconforming, conceded", []verdict.Outcome{conceded(condition(min, bad, ""))}, whole, verdict.Restricted},
		{"minor indeterminate", []verdict.Outcome{condition(min, open, ev)}, whole, verdict.Serviceable},
		{"restriction in force", nil, restricted, verdict.Restricted},
		{"critical outweighs indeterminate", []verdict.Outcome{condition(maj, open, ev), condition(crit, bad, "")}, whole, verdict.Unserviceable},
		{"indeterminate outweighs restricted", []verdict.Outcome{condition(maj, open, ev), condition(maj, bad, "")}, followed, verdict.Undetermined},
		{"the visit changes nothing", []verdict.Outcome{procedure(crit, bad, ""), procedure(crit, open, ev)}, whole, verdict.Serviceable},
		{"the service plan changes nothing", []verdict.Outcome{programme(crit, bad, ""), programme(crit, open, ev)}, whole, verdict.Serviceable},
		{"stopped", nil, ended("completed", verdict.Stopped), verdict.Undetermined},
		{"nothing done", nil, ended("completed", verdict.None), verdict.Undetermined},
		{"stopped outweighs restricted", []verdict.Outcome{conceded(condition(maj, bad, ""))}, ended("stopped-unsafe", verdict.Stopped), verdict.Undetermined},
		{"critical outweighs stopped", []verdict.Outcome{condition(crit, bad, "")}, ended("stopped-unsafe", verdict.Stopped), verdict.Unserviceable},
	}
	for _, as := range []string{"stopped-unsafe", "cut-short", "not-available", ""} {
		for _, c := range []verdict.Completion{verdict.Full, verdict.Partial, verdict.Stopped, verdict.None} {
			tests = append(tests, struct {
				name     string
				outcomes []verdict.Outcome
				state    machineState
				want     verdict.Serviceability
			}{fmt.Sprintf("ended as %q, completion %s", as, c), nil, ended(as, c), verdict.Undetermined})
		}
	}
	for _, test := range tests {
		if got := serviceability(test.outcomes, test.state); got != test.want {
			t.Errorf("%s: got %s, want %s", test.name, got, test.want)
		}
	}
}
