package sheet

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"reflect"
	"slices"
)

// Figures are the readings as a release of the rules lays them out: brought to
// one unit or to the reference temperature, each with the limit that applies.
// What may be wanting is a list of none or one.
type Figures struct {
	Class       []Class       `json:"class"`
	Cells       []CellRow     `json:"cells"`
	Means       []Mean        `json:"means"`
	Weakest     []Weakest     `json:"weakest"`
	FullCharge  []FullCharge  `json:"full_charge"`
	LevelBand   []Band        `json:"level_band"`
	Posts       []PostRow     `json:"posts"`
	TorqueBand  []Band        `json:"torque_band"`
	Voltages    []VoltageRow  `json:"voltages"`
	VoltageBand []VoltageBand `json:"voltage_band"`
	Rest        []Rest        `json:"rest"`
	Meters      []MeterRow    `json:"meters"`
	Steps       []StepRow     `json:"steps"`
	Readings    []StepRead    `json:"readings"`
	Services    []Service     `json:"services"`
}

// Quantity is a number as it is printed.
type Quantity struct {
	// Text is the number with its unit, as people read it.
	Text string `json:"text"`
	// Value is the decimal without unit, as recorded where it is a reading, else
	// rounded to its last place, half to even.
	Value string `json:"value"`
	// Unit is the unit's code.
	Unit string `json:"unit"`
	// Pointer is the JSON pointer of a reading, into the earlier visit that
	// Earlier names (its slot) if there is one; empty for what was computed.
	Pointer string `json:"pointer"`
	Earlier string `json:"earlier"`
	// Limit names a limit with its bound, Source where it comes from, Mark how
	// far that goes; all empty for other numbers.
	Limit  string `json:"limit"`
	Source string `json:"source"`
	Mark   string `json:"mark"`
}

// Class says what the class of machine calls itself and whether its battery is
// flooded or sealed.
type Class struct {
	Title   string `json:"title"`
	Battery string `json:"battery"`
}

// CellRow is a cell of the class. A list is empty where nothing usable was read.
type CellRow struct {
	Cell  string `json:"cell"`
	Block string `json:"block"`
	// GravityFound and GravityLeft are the gravities as found and as they count:
	// as left where there is such a reading, else as found (the same pointer).
	GravityFound []Gravity `json:"gravity_found"`
	GravityLeft  []Gravity `json:"gravity_left"`
	// GravityBefore is as the earlier visit left it, if the block is the same.
	GravityBefore []GravityBefore `json:"gravity_before"`
	// LevelFound and LevelLeft are as the gravities are.
	LevelFound []Level `json:"level_found"`
	LevelLeft  []Level `json:"level_left"`
}

// Gravity is a specific gravity.
type Gravity struct {
	// Corrected is at the reference temperature.
	Corrected Quantity `json:"corrected"`
	// Reading is as read, Temperature the electrolyte's.
	Reading     Quantity `json:"reading"`
	Temperature Quantity `json:"temperature"`
	// Uncertainty is the hydrometer's, expanded with k = 2; none if not stated.
	Uncertainty []Quantity `json:"uncertainty"`
	// Judged is whether gravity is judged at that temperature.
	Judged bool `json:"judged"`
}

// GravityBefore is a specific gravity of an earlier visit.
type GravityBefore struct {
	Corrected   Quantity `json:"corrected"`
	Reading     Quantity `json:"reading"`
	Temperature Quantity `json:"temperature"`
	Visit       string   `json:"visit"`
}

// Level is the electrolyte above the plates, in inches and as read.
type Level struct {
	Level   Quantity `json:"level"`
	Reading Quantity `json:"reading"`
}

// Mean is the mean of the corrected gravities found or left, and of how many.
type Mean struct {
	When string   `json:"when"`
	Mean Quantity `json:"mean"`
	Of   string   `json:"of"`
}

// Weakest is a cell with the least corrected gravity found or left.
type Weakest struct {
	When        string   `json:"when"`
	Cell        string   `json:"cell"`
	Corrected   Quantity `json:"corrected"`
	Temperature Quantity `json:"temperature"`
}

// FullCharge is the least gravity of a full charge at the reference temperature,
// From the limit that it follows from, with the nameplate's gravity if the class
// names one.
type FullCharge struct {
	Least     Quantity   `json:"least"`
	Reference Quantity   `json:"reference"`
	From      Quantity   `json:"from"`
	Nameplate []Quantity `json:"nameplate"`
}

// Band is from the least to the most, both inside. The most of a level is the
// mark in the cell, which is not measured: there is none.
type Band struct {
	Least Quantity   `json:"least"`
	Most  []Quantity `json:"most"`
}

// PostRow is a post of the class.
type PostRow struct {
	Post        string   `json:"post"`
	TorqueFound []Torque `json:"torque_found"`
	TorqueLeft  []Torque `json:"torque_left"`
}

// Torque is in inch pounds-force and as read; of a click or hold check it is the
// setting, and Result says whether it held.
type Torque struct {
	Torque  Quantity `json:"torque"`
	Reading Quantity `json:"reading"`
	Method  string   `json:"method"`
	Result  string   `json:"result"`
	Usable  bool     `json:"usable"`
}

// VoltageRow is a block's voltage as it counts; Stage is as_found or as_left.
type VoltageRow struct {
	Block       string     `json:"block"`
	Stage       string     `json:"stage"`
	Voltage     Quantity   `json:"voltage"`
	Reading     Quantity   `json:"reading"`
	Uncertainty []Quantity `json:"uncertainty"`
}

// VoltageBand is the class's band for a sealed block at rest.
type VoltageBand struct {
	Least  Quantity `json:"least"`
	Most   Quantity `json:"most"`
	Mark   string   `json:"mark"`
	Source string   `json:"source"`
}

// Rest is how long the pack was off charge and load, and whether that is enough
// for a voltage to mean anything.
type Rest struct {
	Hours  Quantity `json:"hours"`
	Least  Quantity `json:"least"`
	Enough bool     `json:"enough"`
}

// MeterRow is an hour meter now, as an earlier visit left it, and the hours run
// between. Replaced is whether it was replaced since.
type MeterRow struct {
	Meter    string        `json:"meter"`
	Now      []Quantity    `json:"now"`
	Before   []MeterBefore `json:"before"`
	Since    []Quantity    `json:"since"`
	Replaced bool          `json:"replaced"`
}

// MeterBefore is a meter as the earlier visit left it, and how many days ago.
type MeterBefore struct {
	Reading Quantity `json:"reading"`
	Visit   string   `json:"visit"`
	Days    string   `json:"days"`
}

// StepRow is a step of the checklist; Order is its place in the order of work.
type StepRow struct {
	Step     string `json:"step"`
	Title    string `json:"title"`
	Area     string `json:"area"`
	Order    string `json:"order"`
	Required bool   `json:"required"`
}

// StepRead is a number of the class that was read at a step. At is the pointer of
// the measure in the record, Title what the class calls it, Allowed what it allows.
type StepRead struct {
	At      string     `json:"at"`
	Title   []string   `json:"title"`
	Found   []Quantity `json:"found"`
	Left    []Quantity `json:"left"`
	Allowed []string   `json:"allowed"`
}

// Service is when a level of service is due next.
type Service struct {
	Level      string `json:"level"`
	EveryHours string `json:"every_hours"`
	EveryDays  string `json:"every_days"`
	// Counted is the service that it counts from, Run the hours since.
	Counted []Counted  `json:"counted"`
	Run     []Quantity `json:"run"`
	// Rate is the machine's own rate of use.
	Rate []Rate `json:"rate"`
	// ByDays and Due are days, year-month-day; Due is the earlier of ByDays and
	// the day of ByHours.
	ByDays  []string  `json:"by_days"`
	ByHours []ByHours `json:"by_hours"`
	Due     []string  `json:"due"`
}

// Counted is a service that the next one counts from. One that was not done in
// full moves no day: the next is due earlier than counted from it.
type Counted struct {
	Visit string `json:"visit"`
	Day   string `json:"day"`
	Level string `json:"level"`
	Full  bool   `json:"full"`
}

// Rate is the hours run in the days since a visit.
type Rate struct {
	Visit   string   `json:"visit"`
	Days    string   `json:"days"`
	Run     Quantity `json:"run"`
	PerWeek Quantity `json:"per_week"`
}

// ByHours is the day on which the hours will have been run, the reading of the
// power-on meter then, and how many hours are left to run.
type ByHours struct {
	Day      string   `json:"day"`
	RunUntil Quantity `json:"run_until"`
	ToRun    Quantity `json:"to_run"`
}

// Decode reads figures strictly: every member of every object must be there, and
// no other.
func Decode(data []byte) (*Figures, error) {
	var f Figures
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&f); err != nil {
		return nil, err
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("something follows the figures")
	}
	// What is not there would read as empty: it shows when written again.
	again, err := json.Marshal(&f)
	if err != nil {
		return nil, err
	}
	var given, kept any
	if err := errors.Join(json.Unmarshal(data, &given), json.Unmarshal(again, &kept)); err != nil {
		return nil, err
	}
	if at := differ(given, kept, ""); at != "" {
		return nil, fmt.Errorf("%s is not as a sheet has it", at)
	}
	return &f, nil
}

// differ is the pointer of the first difference of two documents; empty if they
// are equal.
func differ(a, b any, at string) string {
	if a == nil { // a list that is null would read as empty
		return at
	}
	switch b := b.(type) {
	case map[string]any:
		a, ok := a.(map[string]any)
		if !ok {
			return at
		}
		for _, name := range names(b) {
			if _, ok := a[name]; !ok {
				return at + "/" + name
			}
			if d := differ(a[name], b[name], at+"/"+name); d != "" {
				return d
			}
		}
		return ""
	case []any:
		a, ok := a.([]any)
		if !ok || len(a) != len(b) {
			return at
		}
		for i := range b {
			if d := differ(a[i], b[i], fmt.Sprintf("%s/%d", at, i)); d != "" {
				return d
			}
		}
		return ""
	}
	if !reflect.DeepEqual(a, b) {
		return at
	}
	return ""
}

func names(of map[string]any) []string { return slices.Sorted(maps.Keys(of)) }
