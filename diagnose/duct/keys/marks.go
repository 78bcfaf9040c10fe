package keys

// Pos is a place in the system file, 1-based. The zero Pos: not written there.
type Pos struct{ Line, Column int }

// Mark is one value as it stands in the file.
type Mark struct {
	Key  string
	Pos  Pos
	Text string // as written
	Bare bool   // a number without a unit
	Bad  bool   // reported already: no further checks
}

// Marks are those of one row or section. The zero marks, of a System that was
// not read from a file, know no place and no text.
type Marks struct {
	Row     Pos
	Written bool // there is a file
	List    []Mark
}

// Find is the mark of a key; nil: the key is not there.
func (m *Marks) Find(key string) *Mark {
	for i := range m.List {
		if m.List[i].Key == key {
			return &m.List[i]
		}
	}
	return nil
}

// Pos is where the key's value stands, else where the row begins.
func (m *Marks) Pos(key string) Pos {
	if k := m.Find(key); k != nil {
		return k.Pos
	}
	return m.Row
}

// Bad says whether the key's value was reported already.
func (m *Marks) Bad(key string) bool {
	k := m.Find(key)
	return k != nil && k.Bad
}

// Sheet holds the marks of a whole file; its slices are in step with the lists of the file.
type Sheet struct {
	Loose       bool // the unit system is not known, so sizes say nothing
	Top         Marks
	Air         Marks
	Collector   Marks
	Fan         Marks
	Drops       [2]Marks // cyclone, filter
	Curve       []Marks
	Order       []Mark
	Ducts       []DuctMarks
	Ports       []PortMarks
	Instruments []Marks
	Machines    []Marks
	Room        Marks
	Convey      Marks
	Uncertainty Marks
}

// DuctMarks are those of the row of a duct.
type DuctMarks struct {
	Marks
	Fittings []Marks
	Taps     []Marks
	Gate     Marks // of a gate with keys of its own
}

// PortMarks are those of the row of a port.
type PortMarks struct {
	Marks
	Opening Marks // of one with keys of its own
}

// GateID is where the gate's id stands.
func (m *DuctMarks) GateID() Pos {
	if m.Gate.Find("id") != nil {
		return m.Gate.Pos("id")
	}
	return m.Pos("gate")
}

// NewSheet is the sheet of a file of which nothing has been read yet.
func NewSheet() *Sheet {
	w := Marks{Written: true}
	return &Sheet{Top: w, Air: w, Collector: w, Fan: w, Drops: [2]Marks{w, w}, Convey: w, Uncertainty: w, Room: w}
}
