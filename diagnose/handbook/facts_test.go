package handbook

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/testdata/published/literals"
)

// No number stands in the flow model that the table of sources lacks, and the
// table has none that the code lacks. What is allowed beside it is listed with
// the reason why it is no coefficient of the model.
func TestEveryNumberHasASource(t *testing.T) {
	code := literals.Of(t, ".", "../airflow")
	known := map[string][]float64{}
	for _, f := range Facts() {
		require.NotEmpty(t, f.Source, f.Name)
		require.NotEmpty(t, f.Status, f.Name)
		require.NotEmpty(t, f.Group, f.Name)
		require.True(t, code.Has(f.Symbol) || f.Symbol == "materials" || f.Symbol == "hoods" || f.Symbol == "tapers", "facts name %q, and no code does", f.Symbol)
		if f.Formula == "" {
			known[f.Symbol] = append(known[f.Symbol], f.Value)
		}
	}
	code.Check(t, known, map[string]literals.Allowed{
		"usualConvey":      {Values: []float64{20}, Why: "listed among the demands of an install"},
		"usualConveyUS":    {Values: []float64{20.32}, Why: "listed among the demands of an install"},
		"brought":          {Values: []float64{3, 2}, Why: "derivatives of q³ and q²"},
		"chainGates":       {Values: []float64{1e-9, 2}, Why: "no division by nothing; derivative of a square"},
		"colebrookSeries":  {Values: []float64{1.8, 1.11, 6.9, 20, 6, 2}, Why: "Haaland's first guess, which the root does not depend on; bounds of the iteration; derivative of x⁻²"},
		"compileJoins":     {Values: []float64{2}, Why: "momentum is twice the velocity pressure"},
		"NewJoint":         {Values: []float64{2}, Why: "momentum is twice the velocity pressure"},
		"continuation":     {Values: []float64{2}, Why: "step control of a continuation"},
		"farSteps":         {Values: []float64{2}, Why: "bound of the iteration"},
		"newton":           {Values: []float64{0.1, 30, 2}, Why: "step control of the iteration"},
		"plod":             {Values: []float64{0.5}, Why: "step control of the iteration"},
		"leastLoss":        {Values: []float64{0.05}, Why: "keeps a share of a loss finite; said of a loss, and no flow depends on it"},
		"usualVelocity":    {Values: []float64{20}, Why: "at which a duct's loss by its page is said; no flow depends on it"},
		"growthRatios":     {Values: []float64{0.1, 0.2, 0.33, 0.5}, Why: "area ratio, the table's argument"},
		"gateTable":        {Values: []float64{0.004, 0.02, 0.05, 0.125, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9}, Why: "share of travel, the table's argument"},
		"EntryLoss":        {Values: []float64{180}, Why: "degrees in π"},
		"elbowSmooth":      {Values: radii, Why: "R/D, the table's argument"},
		"elbowGored":       {Values: radii, Why: "R/D, the table's argument"},
		"entryTable":       {Values: []float64{10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 90}, Why: "degrees, the table's argument"},
		"growth":           {Values: []float64{180}, Why: "degrees in π"},
		"growthAngles":     {Values: []float64{15, 30, 45, 60, 90}, Why: "degrees, the table's argument"},
		"squareFrom":       {Values: []float64{3}, Why: "60° in π"},
		"inch":             {Values: []float64{0.0254}, Why: "definition"},
		"gateExtrapolated": {Values: []float64{0.125}, Why: "share of travel, the table's argument"},
		"blend":            {Values: []float64{3, 6}, Why: "the smooth step 3u² − 2u³ and its slope"},
		"At":               {Values: []float64{1e-6}, Why: "a fan that stands still"},
		"FrictionFactor":   {Values: []float64{1e-3}, Why: "no division by nothing"},
		"ShutLoss":         {Values: []float64{1e-9}, Why: "no division by nothing"},
		"nonZero":          {Values: []float64{1e-12}, Why: "no division by nothing"},
		"ProbeHole":        {Values: []float64{0.3}, Why: "share of a duct within which a tap makes a new hole needless; no flow depends on it"},
		"up":               {Values: []float64{1e-6, 1e-12}, Why: "no division by nothing"},
		"exchange":         {Values: []float64{1e-3, 1e-9}, Why: "rounds the corner of the handbook join, which has a kink"},
		"near":             {Values: []float64{1e-2}, Why: "when a friction factor is carried on by its series; changes a flow by 1e-9"},
		"foretold":         {Values: []float64{0.3}, Why: "first guess of a friction factor"},
		"Factor":           {Values: []float64{3, 1e-3}, Why: "the series of the logarithm; no division by nothing"},
		"colebrookStep":    {Values: []float64{2e-4}, Why: "when the iteration is exact to rounding"},
		"seriesReach":      {Values: []float64{0.06}, Why: "how far the series of the leakage law is carried; changes a flow by 1e-10"},
		"maxIterations":    {Values: []float64{60}, Why: "bound of the iteration"},
		"plodding":         {Values: []float64{60}, Why: "bound of the iteration"},
		"balance":          {Values: []float64{1e-10}, Why: "residual at which the iteration ends"},
		"roughly":          {Values: []float64{1e-3}, Why: "residual from which one step more does for a rating"},
		"closeBy":          {Values: []float64{1e-6}, Why: "residual from which one step more does"},
		"bySegment":        {Values: []float64{5}, Why: "how many slices are by segment"},
		"NewState":         {Values: []float64{3}, Why: "how many arrays a state has"},
		"start":            {Values: []float64{1e-9}, Why: "no division by nothing"},
		"leastResistance":  {Values: []float64{0.05}, Why: "first guess of the iteration"},
		"usualSpeed":       {Values: []float64{15}, Why: "first guess of the iteration"},
		"startFan":         {Values: []float64{1e-3, 24, 1e-9}, Why: "first guess of the iteration"},
		"enough":           {Values: []float64{120}, Why: "bound of the iteration"},
		"briefly":          {Values: []float64{60}, Why: "bound of the iteration"},
		"halvings":         {Values: []float64{12}, Why: "step control of the iteration"},
		"throttled":        {Values: []float64{1000}, Why: "step control of the iteration"},
		"overdone":         {Values: []float64{0.9}, Why: "step control of the iteration"},
		"stages":           {Values: []float64{8}, Why: "step control of a continuation"},
		"shortest":         {Values: []float64{64}, Why: "step control of a continuation"},
		"promised":         {Values: []float64{1e-9}, Why: "residual that every solution is within"},
		"residuals":        {Values: []float64{1e-12}, Why: "no division by nothing"},
		"leastDense":       {Values: []float64{0.7}, Why: "what is taken for the air of a day at all"},
		"mostDense":        {Values: []float64{1.4}, Why: "what is taken for the air of a day at all"},
		"MotorLoadAt":      {Values: []float64{3}, Why: "derivative of n³"},
		"power":            {Values: []float64{3}, Why: "derivative of x²(1 − x)"},
		"noSolution":       {Values: []float64{100}, Why: "percent in a message"},
	})
}

var radii = []float64{0.5, 0.75, 1.5, 2, 2.5}
