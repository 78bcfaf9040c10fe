package fault

// DoubtKind is what may weaken a result.
type DoubtKind uint8

const (
	NoDoubt DoubtKind = iota

	FewReadings   // only Count readings
	NoBaseline    // no earlier survey of the sound system
	LooseFit      // even the best explanation leaves readings far off
	OffTheList    // a chance of Share of something that is on no list
	FragileAnswer // the first answer hangs on how common faults are taken to be
	HugeHole      // a hole at Where as wide as a branch
	RowLeftOut    // line Count is left out, because of Slip
	NothingToRead // no single reading would settle it
	RoomClosed    // the shop lets in too little air, and the file says nothing of it
	RoomOpen      // the file's room lets in little air, and a look says otherwise
	BoreOther     // the duct at Where measures another width than its page says, and is taken as it measures
	Unsettled     // the best explanation was still moving
	StoppedEarly  // the work was stopped before its end
	PortsLeftOut  // of Count ports it was not asked whether they are too small by design

	BaselineZero    // the baseline File holds nothing but zeros
	BaselineCopied  // the baseline File holds these same readings
	BaselineLater   // the baseline File is dated after the survey
	BaselineAnother // the readings are of a sound system, but not that of the baseline
	SurveyTwice     // File was given more than once
	SurveyCopied    // File holds the same readings as Other
	SurveyZero      // File holds nothing but zeros

	FitNothing   // the readings fit neither one another nor the system file
	GatesDiffer  // what was read with the gates Open does not go with the rest
	AllZero      // every value is zero
	NoAirReading // the readings are what instruments show when no air moves

	ShortHistory  // only Count surveys after the reference
	FewReference  // only Count surveys stand for the sound system
	SurveysMisfit // Count surveys lie far off, File first

	WeakLeftOut     // File, begun with the complaint Other, comes before all that may stand for the sound system
	WeakReference   // File, begun with the complaint Other, is to stand for the sound system
	MendedReference // File stands for the sound system, and on the date Other something was repaired
)

// Doubt is one thing that weakens a result. Two that are equal say the same.
type Doubt struct {
	Kind        DoubtKind
	Count       int
	Slip        Slip
	Share       float64
	Where       string // id of a duct
	File, Other string
	Open        string // gates open, as in the column
}
