package sheet

// ItemAnswer is what the visit says of an item that was open.
type ItemAnswer struct {
	Item     string `json:"item"`
	Answer   string `json:"answer"`
	Evidence string `json:"evidence"`
	Due      string `json:"due"`
	To       string `json:"to"`
}

// TagAnswer is what the visit says of a tag that hung.
type TagAnswer struct {
	Tag      string `json:"tag"`
	Answer   string `json:"answer"`
	Evidence string `json:"evidence"`
}

// FollowUp is an item that the visit raises.
type FollowUp struct {
	Item     string   `json:"item"`
	About    []string `json:"about"`
	Severity string   `json:"severity"`
	Owner    string   `json:"owner"`
	Raised   string   `json:"raised"`
	Due      string   `json:"due"`
	What     string   `json:"what"`
}

// Tag was placed on the machine.
type Tag struct {
	Tag         string   `json:"tag"`
	SignalWord  string   `json:"signal_word"`
	Message     string   `json:"message"`
	Place       string   `json:"place"`
	KeyWithheld bool     `json:"key_withheld"`
	Isolated    bool     `json:"isolated"`
	At          string   `json:"at"`
	About       []string `json:"about"`
}

// Told is what somebody at the site was told, and what they answered.
type Told struct {
	About  string `json:"about"`
	Role   string `json:"role"`
	How    string `json:"how"`
	At     string `json:"at"`
	Answer string `json:"answer"`
}

// Restriction says what must not be done with the machine, and until when.
type Restriction struct {
	ID      string   `json:"id"`
	NotToDo string   `json:"not_to_do"`
	Until   string   `json:"until"`
	About   []string `json:"about"`
}

// Signatures are the technician's and the customer's answer.
type Signatures struct {
	Technician TechnicianSignature `json:"technician"`
	Customer   CustomerAnswer      `json:"customer"`
}

// TechnicianSignature is by the id of a person of the visit.
type TechnicianSignature struct {
	By string `json:"by"`
	At string `json:"at"`
}

// CustomerAnswer is signed, refused or nobody-there, with how they were told.
type CustomerAnswer struct {
	Answer string `json:"answer"`
	ToldBy string `json:"told_by"`
	Role   string `json:"role"`
}

// Stop is a visit stopped because it was not safe to go on.
type Stop struct {
	At       string `json:"at"`
	Hazard   string `json:"hazard"`
	Isolated bool   `json:"isolated"`
	Tag      string `json:"tag"`
	ToldRole string `json:"told_role"`
	FollowUp string `json:"follow_up"`
}

// CutShort is a visit ended before it was through.
type CutShort struct {
	At     string `json:"at"`
	Reason string `json:"reason"`
	Cause  string `json:"cause"`
}

// Absence is a machine that was not to be had.
type Absence struct {
	Reason   string `json:"reason"`
	ToldRole string `json:"told_role"`
}
