package sheet

import "encoding/json"

// Visit is what a page prints of the record, as written: texts, days and times
// as they stand there, numbers with every place. The schema of a visit describes
// each field; words are those of its enumerations.
type Visit struct {
	ID                string        `json:"id"`
	Kind              string        `json:"kind"`
	ServiceLevel      string        `json:"service_level"`
	EndedAs           string        `json:"ended_as"`
	FirstVisit        bool          `json:"first_visit"`
	Started           string        `json:"started"`
	Ended             string        `json:"ended"`
	Site              Site          `json:"site"`
	Machine           Machine       `json:"machine"`
	People            []Person      `json:"people"`
	Instruments       []Instrument  `json:"instruments"`
	Place             *Place        `json:"place"`
	Meters            []Meter       `json:"meters"`
	MeterChanges      []MeterChange `json:"meter_changes"`
	Steps             []Step        `json:"steps"`
	Battery           *Battery      `json:"battery"`
	OpenItemsAnswered []ItemAnswer  `json:"open_items_answered"`
	TagsAnswered      []TagAnswer   `json:"tags_answered"`
	FollowUps         []FollowUp    `json:"follow_ups"`
	TagsPlaced        []Tag         `json:"tags_placed"`
	Told              []Told        `json:"told"`
	Restrictions      []Restriction `json:"restrictions"`
	Parts             []Part        `json:"parts"`
	Signatures        Signatures    `json:"signatures"`
	Stop              *Stop         `json:"stop"`
	CutShort          *CutShort     `json:"cut_short"`
	Absence           *Absence      `json:"absence"`
	Note              string        `json:"note"`
}

// Site is where the machine stands.
type Site struct {
	ID   string `json:"id"`
	Room string `json:"room"`
}

// Machine is what the plate says.
type Machine struct {
	Serial         string `json:"serial"`
	Class          string `json:"class"`
	SerialReadFrom string `json:"serial_read_from"`
}

// Person was there. The id is a role's, no name.
type Person struct {
	ID          string `json:"id"`
	Role        string `json:"role"`
	PresentFrom string `json:"present_from"`
	PresentTo   string `json:"present_to"`
}

// Instrument was used, or is what a reading was taken by.
type Instrument struct {
	ID          string `json:"id"`
	Kind        string `json:"kind"`
	Compensated bool   `json:"compensated"`
	Certificate string `json:"certificate"`
	Reference   string `json:"reference"`
	Last        string `json:"last"`
	Next        string `json:"next"`
}

// Place is the place of work.
type Place struct {
	Indoors    bool    `json:"indoors"`
	Ventilated bool    `json:"ventilated"`
	Ambient    Measure `json:"ambient"`
}

// Reading is a quantity as read. Method and Result are of torques alone.
type Reading struct {
	Value      json.Number `json:"value"`
	Unit       string      `json:"unit"`
	Instrument string      `json:"instrument"`
	Method     string      `json:"method"`
	Result     string      `json:"result"`
}

// Measure is what was read of one thing before and after anything was done to
// it, or why nothing was.
type Measure struct {
	AsFound     *Reading     `json:"as_found"`
	AsLeft      *Reading     `json:"as_left"`
	NotObtained *NotObtained `json:"not_obtained"`
}

// NotObtained says why a reading could not be had.
type NotObtained struct {
	Reason string `json:"reason"`
	Note   string `json:"note"`
}

// Meter is an hour meter.
type Meter struct {
	Meter   string  `json:"meter"`
	Reading Measure `json:"reading"`
}

// MeterChange is a meter replaced, or a controller, or a display that rolled over.
type MeterChange struct {
	Meter     string  `json:"meter"`
	OldLast   Reading `json:"old_last"`
	NewFirst  Reading `json:"new_first"`
	Date      string  `json:"date"`
	Reason    string  `json:"reason"`
	Reference string  `json:"reference"`
}

// Step is one item of the checklist, in the order of the record. One that was
// left undone has Skipped, any other what was found, done and left.
type Step struct {
	Step     string        `json:"step"`
	By       string        `json:"by"`
	Power    string        `json:"power"`
	At       string        `json:"at"`
	Found    string        `json:"found"`
	Done     string        `json:"done"`
	Left     string        `json:"left"`
	Skipped  *NotObtained  `json:"skipped"`
	Readings []StepReading `json:"readings"`
	Note     string        `json:"note"`
}

// StepReading is a number of the class, read at a step.
type StepReading struct {
	Reading string `json:"reading"`
	Measure
}

// Part was fitted.
type Part struct {
	Part          string `json:"part"`
	Step          string `json:"step"`
	Fitted        string `json:"fitted"`
	Removed       string `json:"removed"`
	RemovedWentTo string `json:"removed_went_to"`
}
