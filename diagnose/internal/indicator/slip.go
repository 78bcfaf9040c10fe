package indicator

import (
	"math"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
)

// SlipOf names the slip that explains an observation set aside, if there is one.
func SlipOf(ways []*fit.Wrong, obs int, o *observe.Observation, fits float64) fault.Slip {
	near, reason := math.Inf(1), fault.Slip{Kind: fault.SlipUnknown}
	for _, w := range ways {
		if w.Observation != obs || w.Drop || w.Cfg >= 0 {
			continue
		}
		allow := nearSlip + 2*math.Sqrt2*w.Fresh/math.Max(math.Abs(fits), 1e-9)
		if d := math.Abs(w.Y-fits) / math.Max(math.Abs(fits), 1e-9); d < allow && d < near {
			near, reason = d, w.Reason
		}
	}
	return reason
}

// nearSlip is how near a slip must come to what fits, as a share.
const nearSlip = 0.05
