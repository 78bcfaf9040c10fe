package fault

// SlipKind is a way in which a row comes to be wrong.
type SlipKind uint8

const (
	NoSlip          SlipKind = iota
	SlipUnit                 // the number is in another unit
	SlipConverted            // it was converted once too often
	SlipPoint                // the decimal point slipped one place
	SlipSign                 // the sign is the wrong way round
	SlipDigits               // two digits are swapped
	SlipGates                // read with other gates open
	SlipPlace                // read at another place
	SlipTotal                // the total pressure, not the static one
	SlipUnknown              // it fits nothing else that was read
	SlipUnexplained          // the only reading, and nothing of the system file explains it
)

// Slip is how a row may have come to be wrong.
type Slip struct {
	Kind    SlipKind
	Unit    string // of SlipUnit and SlipConverted: as written
	Really  string // and the unit that it is in, or was converted from
	OrPoint bool   // or the decimal point slipped one place: the two can't be told apart
	Open    string // of SlipGates: the gates that fit, as in the column
	At      string // of SlipPlace: the point that fits
}
