package fault

// Plugged is how likely a blockage or a gate that doesn't open is to stop the air
// altogether, and PlugPrior how far closed it then is. Common practice, no source: where
// hardly any air moves although the gate stands open, a duct packed full or a gate
// off its rod are the usual finds.
const Plugged = 0.2

var (
	PlugPrior = SeverityPrior{Logit(0.997), 1}
	OffRod    = SeverityPrior{Logit(0.006), 0.5}
)

// Plug adds to a place that it may be closed altogether. It is looked for where the
// readings show no air only: everywhere else it would be one more idea to rate.
func (s *Site) Plug() {
	var own SeverityPrior
	switch s.Kind {
	case Blockage:
		own = PlugPrior
	case GateRestricted:
		own = OffRod
	default:
		return
	}
	for _, v := range s.Variants[:len(s.Variants):len(s.Variants)] {
		x := *v
		x.own, x.Weight = own, v.Weight*Plugged
		v.Weight *= 1 - Plugged
		s.Variants = append(s.Variants, &x)
	}
}
