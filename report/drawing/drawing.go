// Package drawing lays a duct tree out on a page: the collector on top, each
// port a row, the ducts between them. It knows the tree and the size of
// letters, and nothing of air or of what the notes say.
//
// Rows stand one below the other and each text has a cell of its own in its
// row, so no two labels can meet however many ports there are. Ducts run in
// lanes: at a join the leg that enters straight keeps its lane and the others
// turn off into the next one. Where that would need many lanes, the leg with
// the most ports keeps it, so that n ports need at most log2(n) + 1.
//
// The work is in proportion to the number of ducts and notes.
package drawing

import "lostair/diagnose/duct"

// Note is one line of text beside a duct. Class is for the style sheet.
type Note struct {
	Text  string
	Class string
}

// Sheet says how wide the page is and what is written on it.
type Sheet struct {
	Sys       *duct.System
	Wide      bool                   // notes stand beside the ducts, else below them
	Notes     func(duct int) []Note  // of a duct, its gate and its port; may be nil
	Collector []Note                 // of fan, filter, cyclone, bin and the reserved points
	Size      func(duct int) string  // what stands behind a duct's id where there is room; may be nil
	Short     func(duct int) string  // what stands there if Size has no room; may be nil
	Badges    func(duct int) []Badge // numbers to set on a duct; may be nil
}

// Badge is a number to set on a duct.
type Badge struct {
	Number string
	Spot   Spot
}

// Spot is where on a duct something sits.
type Spot uint8

const (
	Along  Spot = iota // anywhere along it
	AtGate             // at its gate
	AtPort             // at its port's mouth
)

// Point is a place on the page, in units of about a CSS pixel.
type Point struct{ X, Y float64 }

// Pipe is one duct as drawn, from its downstream to its upstream end.
type Pipe struct {
	Duct  int
	Into  int // the duct that it flows into; below 0: the collector
	Path  []Point
	Width float64
	Hose  bool
	// The stretch that is the duct's own, not the way there, for marks along it.
	Own [2]Point // downstream end, upstream end
}

// Label is a text in a cell of its own.
type Label struct {
	At    Point // left end of the base line
	Text  string
	Class string
	Full  string // the text before it was cut; "" if it wasn't
}

// Mark is a sign on a pipe.
type Mark struct {
	At    Point
	Duct  int
	Kind  MarkKind
	Text  string // of a badge, or a port's id
	Spot  Spot   // of a badge
	Along bool   // the pipe runs across the page here, not down it
	Size  float64
}

// MarkKind is what a mark stands for.
type MarkKind uint8

const (
	TapMark   MarkKind = iota // a tap
	GateMark                  // a blast gate
	MouthMark                 // a port
	BadgeMark                 // a number
	BendMark                  // a bend
)

// Join is where several ducts meet in the collector's inlet: a bar from the
// first leg to the last.
type Join struct {
	From, To Point
	Width    float64
}

// Box is a part of the collector.
type Box struct {
	At            Point
	Width, Height float64
	Part          string // "fan", "filter", "cyclone", "bin"
}

// Drawing is a laid out tree.
type Drawing struct {
	Width, Height float64
	Pipes         []Pipe // those nearer the collector first
	Labels        []Label
	Marks         []Mark
	Join          *Join // nil: one duct goes into the collector
	Boxes         []Box
	Leaders       [][2]Point // faint lines from a row to its notes
	Outlet        Point      // where the air leaves the last box
	Lanes         int
	Rows          []float64 // where rows start, downwards: where the drawing can be cut
}
