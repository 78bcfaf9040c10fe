package drawing

// measures are the page's columns and rows. Lengths are about CSS pixels.
type measures struct {
	width    float64
	lane     float64 // from one lane to the next
	left     float64 // to the middle of the first lane
	mouth    float64 // where ports' mouths stand
	name     float64 // where ports' names start
	nameEnd  float64
	notes    float64 // where notes start, if they stand beside
	beside   bool
	thick    float64 // widest pipe
	thin     float64
	labelRow float64 // height of the labels above a pipe
	pipeRow  float64 // height of a pipe that runs across
	noteRow  float64
	gap      float64 // below a row
	text     float64 // size of letters
	box      float64 // height of the collector's boxes
	boxes    float64 // where they end
	badge    float64
}

var wide = measures{
	width: 850, lane: 26, left: 24, mouth: 382, name: 394, nameEnd: 506, notes: 516, beside: true,
	thick: 15, thin: 6.5, labelRow: 16, pipeRow: 18, noteRow: 15, gap: 5, text: 11, box: 46, boxes: 502, badge: 17,
}

var narrow = measures{
	width: 350, lane: 18, left: 16, mouth: 228, name: 238, nameEnd: 348, thick: 12, thin: 6,
	labelRow: 16, pipeRow: 18, noteRow: 15, gap: 7, text: 11, box: 46, boxes: 340, badge: 17,
}

// fit draws the lanes together where there are many, so that what stands
// right of them keeps its room.
func (m measures) fit(lanes int) measures {
	room := m.mouth*0.45 - m.left
	if n := float64(lanes - 1); n > 0 && n*m.lane > room {
		m.lane = room / n
		m.thick = min(m.thick, m.lane-4)
	}
	m.thick = max(m.thick, m.thin+1)
	return m
}

func (m measures) x(lane int) float64 { return m.left + float64(lane)*m.lane }
