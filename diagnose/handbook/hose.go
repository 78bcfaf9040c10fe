package handbook

import "math"

// compressionRise and compressionFade are the law of a hose that is not pulled
// out: its friction grows by 58 of the share by which it is shorter than stretched,
// less in a wider one. ASHRAE's compression correction for flexible duct (value
// from memory); Abushakra, Walker and Sherman (abstract read) measured four times
// the stretched loss at moderate compression and nearly ten times at more.
const (
	compressionRise = 58.0
	compressionFade = 0.126 // by each inch of diameter
	inch            = 0.0254
)

// CompressionFactor is by how much the friction of a hose is multiplied that is
// shorter than stretched out by a share (0 to 1), in a bore of that diameter, m.
func CompressionFactor(share, diameter float64) float64 {
	return 1 + compressionRise*share*math.Exp(-compressionFade*diameter/inch)
}
