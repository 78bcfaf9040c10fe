package duct

// Pos is a place in the system file, 1-based. The zero Pos: not written there.
type Pos struct{ Line, Column int }

// mark is one value as it stands in the file.
type mark struct {
	key  string
	pos  Pos
	text string // as written
	bare bool   // a number without a unit
	bad  bool   // reported already: no further checks
}

// marks are those of one row or section. The zero marks, of a System that was
// not read from a file, know no place and no text.
type marks struct {
	row     Pos
	written bool // there is a file
	list    []mark
}

func (m *marks) find(key string) *mark {
	for i := range m.list {
		if m.list[i].key == key {
			return &m.list[i]
		}
	}
	return nil
}

// pos is where the key's value stands, else where the row begins.
func (m *marks) pos(key string) Pos {
	if k := m.find(key); k != nil {
		return k.pos
	}
	return m.row
}

// bad says whether the key's value was reported already.
func (m *marks) bad(key string) bool {
	k := m.find(key)
	return k != nil && k.bad
}

// sheet holds the marks of a whole file, in step with the System's slices.
type sheet struct {
	loose       bool // the unit system is not known, so sizes say nothing
	top         marks
	air         marks
	collector   marks
	fan         marks
	drops       [2]marks // cyclone, filter
	curve       []marks
	order       []mark
	ducts       []ductMarks
	ports       []portMarks
	instruments []marks
	machines    []marks
	room        marks
	convey      marks
	uncertainty marks
}

type ductMarks struct {
	marks
	fittings []marks
	taps     []marks
	gate     marks // of a gate with keys of its own
}

type portMarks struct {
	marks
	opening marks // of one with keys of its own
}

// gateID is where the gate's id stands.
func (m *ductMarks) gateID() Pos {
	if m.gate.find("id") != nil {
		return m.gate.pos("id")
	}
	return m.pos("gate")
}

// fileSheet is the sheet of a file of which nothing has been read yet.
func fileSheet() *sheet {
	w := marks{written: true}
	return &sheet{top: w, air: w, collector: w, fan: w, drops: [2]marks{w, w}, convey: w, uncertainty: w, room: w}
}
