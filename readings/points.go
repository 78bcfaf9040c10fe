package readings

// Reserved point ids.
const (
	CollectorInlet = "collector-inlet"
	FanInlet       = "fan-inlet"
	Filter         = "filter"
	Bin            = "bin"
	FanOutlet      = "fan-outlet"
	CycloneInlet   = "cyclone-inlet"
	CycloneOutlet  = "cyclone-outlet"
	AfterFilter    = "after-filter"
	Room           = "room" // for the air of the day
)

// FanPoint is where a look at the fan is written.
const FanPoint = "fan"

// ReservedPoints are the points that have a name of their own, in a fixed order.
func ReservedPoints() []string {
	return []string{CollectorInlet, CycloneInlet, CycloneOutlet, FanInlet, FanPoint, FanOutlet, AfterFilter, Filter, Bin, Room}
}
