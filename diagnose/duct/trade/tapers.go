package trade

// TaperLoss is a tapered hood's entry loss at an included angle.
type TaperLoss struct{ Degrees, Loss float64 }

const taperSource = "ACGIH, Industrial Ventilation, tapered hoods by included angle, face at least twice the duct's area"

// The chart of tapered hoods: with a round face, and with a square or rectangular
// one, whose wider angle counts. 180° is a duct butted to a flat plate.
var (
	roundTapers  = []TaperLoss{{15, 0.15}, {30, 0.08}, {45, 0.06}, {60, 0.08}, {90, 0.15}, {120, 0.26}, {150, 0.40}, {180, 0.50}}
	squareTapers = []TaperLoss{{15, 0.25}, {30, 0.16}, {45, 0.15}, {60, 0.17}, {90, 0.25}, {120, 0.35}, {150, 0.48}, {180, 0.50}}
)

// TaperSource says where the losses by angle come from, and how.
func TaperSource() (source, status string) { return taperSource, fromMemory }
