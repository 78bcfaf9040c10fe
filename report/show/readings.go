package show

// WideWords are said of a range that hardly any reading leaves.
const WideWords = "so wide that it says little, since the system file has no fan curve"

// FastVane is said of air that is too fast for a vane.
const FastVane = "more than most hand-held vanes read: look at the range of yours"

// FastWords say what to do where air is too fast for a vane.
const FastWords = FastVane + "; above it read velocity_pressure with a pitot tube, and write that as the quantity and its gauge as the instrument"

// FastNote is the same, short, in the column note.
const FastNote = "too fast for most vanes: if for yours, velocity_pressure with a pitot tube"

// FastMark marks what is too fast for a vane.
func FastMark(fast bool) string {
	if fast {
		return "fast"
	}
	return ""
}

const ShowsNote = "A fault counts as shown if it moves the readings by three standard deviations of what instruments and the as-built system leave open."
