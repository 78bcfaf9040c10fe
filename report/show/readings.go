package show

// FastWords say what to do where air is too fast for a vane.
const FastWords = "more than most hand-held vanes read: look at the range of yours; above it read velocity_pressure with a pitot tube, and write that as the quantity and its gauge as the instrument"

// FastNote is the same, short, in the column note.
const FastNote = "too fast for most vanes: if for yours, velocity_pressure with a pitot tube"

func FastMark(fast bool) string {
	if fast {
		return "fast"
	}
	return ""
}

const ShowsNote = "A fault counts as shown if it moves the readings by three standard deviations of what instruments and the as-built system leave open."
