package sheet

// Battery is what was recorded of the pack.
type Battery struct {
	Charge   Charge          `json:"charge"`
	Blocks   []Block         `json:"blocks"`
	Changes  []BatteryChange `json:"changes"`
	Cells    []Cell          `json:"cells"`
	Watering Watering        `json:"watering"`
	Posts    []Post          `json:"posts"`
	Pack     *Measure        `json:"pack_voltage"`
	Box      Box             `json:"box"`
}

// Charge is the last charge before the visit.
type Charge struct {
	State      string `json:"state"`
	Ended      string `json:"ended"`
	EndShownBy string `json:"end_shown_by"`
}

// Block is one battery block.
type Block struct {
	Block       string   `json:"block"`
	Serial      string   `json:"serial"`
	DateCode    string   `json:"date_code"`
	Fitted      string   `json:"fitted"`
	MakeType    string   `json:"make_type"`
	Case        string   `json:"case"`
	Temperature *Measure `json:"temperature"`
	Voltage     *Measure `json:"voltage"`
}

// BatteryChange is blocks replaced.
type BatteryChange struct {
	Date      string   `json:"date"`
	Blocks    []string `json:"blocks"`
	Reason    string   `json:"reason"`
	Reference string   `json:"reference"`
}

// Cell is one cell of a flooded pack.
type Cell struct {
	Cell          string   `json:"cell"`
	Gravity       Measure  `json:"gravity"`
	Temperature   *Measure `json:"temperature"`
	Level         Measure  `json:"level"`
	Clarity       string   `json:"clarity"`
	OverMarkFound bool     `json:"over_mark_found"`
	OverMarkLeft  bool     `json:"over_mark_left"`
	Cap           string   `json:"cap"`
}

// Watering is water added, or why none was.
type Watering struct {
	Done    bool     `json:"done"`
	Because string   `json:"because"`
	At      string   `json:"at"`
	Grade   string   `json:"grade"`
	Total   *Measure `json:"total"`
}

// Post is one battery post.
type Post struct {
	Post          string  `json:"post"`
	Torque        Measure `json:"torque"`
	Corrosion     string  `json:"corrosion"`
	Cleaned       bool    `json:"cleaned"`
	CorrosionLeft string  `json:"corrosion_left"`
	Cover         string  `json:"cover"`
}

// Box is the battery box.
type Box struct {
	Acid  string `json:"acid"`
	Cause string `json:"cause"`
}
