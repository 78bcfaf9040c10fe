package facts

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/asbuilt"
	"lostair/testdata/published/literals"
)

// rooms are the packages of the inference.
var rooms = []string{"..", "../fault", "../plan", "../verify", "../track", "../repair", "../internal/asbuilt", "../internal/doubt", "../internal/fit", "../internal/numeric",
	"../internal/observe", "../internal/search", "../internal/settings", "../internal/weigh", "../whatif", "../expect"}

// No number stands in the inference that the table of sources lacks. What is
// allowed beside it is listed with the reason why no answer rests on it.
func TestEveryNumberHasASource(t *testing.T) {
	code := literals.Of(t, rooms...)
	elsewhere := map[string]bool{"logLinear": true, "equalArea": true, "dimensions": true} // in readings
	elsewhere["usualConvey"] = true                                                        // in airflow
	elsewhere["taperedSpread"], elsewhere["chartSpread"] = true, true                      // in duct
	for _, f := range airflow.Facts() {
		elsewhere[f.Symbol] = true
	}
	known := map[string][]float64{}
	seen := map[string]bool{}
	for _, f := range Facts() {
		require.NotEmpty(t, f.Source, f.Name)
		require.NotEmpty(t, f.Status, f.Name)
		assert.True(t, elsewhere[f.Symbol] || code.Has(f.Symbol), "facts name %q, and no code does", f.Symbol)
		require.False(t, seen[f.Group+f.Symbol+f.Name], "twice: %s", f.Name)
		seen[f.Group+f.Symbol+f.Name] = true
		known[f.Symbol] = append(known[f.Symbol], f.Value)
		if !elsewhere[f.Symbol] {
			assert.True(t, code.Contains(f.Symbol, f.Value), "the code of %s has no number %v", f.Symbol, f.Value)
		}
	}
	for what := range asbuilt.Spreads {
		require.True(t, named(what), "spreadNames lacks part %d", what)
	}
	code.Check(t, known, beside(t))
}

// beside lists the numbers that need no source, each by its declaration and with
// the reason: quantiles, steps of differences, what bounds the work and the words.
// They cost time, or leave out what weighs next to nothing; no answer rests on them.
func beside(t *testing.T) map[string]literals.Allowed {
	f, err := os.Open("testdata/beside.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	out := map[string]literals.Allowed{}
	for _, r := range rows[1:] {
		require.NotContains(t, out, r[0])
		var values []float64
		for _, n := range strings.Fields(r[1]) {
			v, err := strconv.ParseFloat(n, 64)
			require.NoError(t, err, r[0])
			values = append(values, v)
		}
		out[r[0]] = literals.Allowed{Values: values, Why: r[2]}
	}
	return out
}

// Every number of the model is on record: what is taken from the table, put in or
// changed shows here. UPDATE_GOLDEN=1 writes the record anew.
func TestTheTableIsOnRecord(t *testing.T) {
	const name = "testdata/record.csv"
	var b strings.Builder
	w := csv.NewWriter(&b)
	for _, f := range Facts() {
		value := f.Formula
		if value == "" {
			value = strconv.FormatFloat(f.Value, 'g', 12, 64)
		}
		require.NoError(t, w.Write([]string{f.Group, f.Symbol, f.Name, value, f.Unit, f.Status}))
	}
	w.Flush()
	if os.Getenv("UPDATE_GOLDEN") != "" {
		require.NoError(t, os.WriteFile(name, []byte(b.String()), 0o600))
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err)
	require.Equal(t, string(want), b.String(), "run UPDATE_GOLDEN=1 go test ./diagnose/facts, and say in CHANGELOG what changes")
}

func named(w airflow.What) bool {
	for _, s := range spreadNames {
		if s.what == w {
			return true
		}
	}
	return false
}

// algebra is quantiles, guards against dividing by nothing, thresholds of the
// file formats.
var algebra = map[string]literals.Allowed{
	"deviations":   {Values: []float64{0.1}, Why: "a prior stays small"},
	"standsFor":    {Values: []float64{1e-4}, Why: "sets of no weight"},
	"severityOf":   {Values: []float64{0.05, 0.95, 0.5, 1.645, 1e-6}, Why: "90 % interval"},
	"add":          {Values: []float64{1e-12, 1.645}, Why: "no division by nothing"},
	"addWrongRows": {Values: []float64{0.001}, Why: "file formats: candidates of at least 0.1 %"},
	"result":       {Values: []float64{0.001}, Why: "file formats: candidates of at least 0.1 %"},
	"undersizedAt": {Values: []float64{1e-12, 0.001}, Why: "no division by nothing; file formats: candidates of at least 0.1 %"},
	"portFlowsIn":  {Values: []float64{0.05, 0.95}, Why: "file formats: 90 % interval"},

	"severitySD":  {Values: []float64{1e-8}, Why: "no root of less than nothing"},
	"slopes":      {Values: []float64{1e-4}, Why: "step of a difference"},
	"lawOf":       {Values: []float64{0.01}, Why: "step of a difference"},
	"digits":      {Values: []float64{64}, Why: "bits of a float"},
	"newStudy":    {Values: []float64{3}, Why: "parameters of a survey's own: filter, speed, day"},
	"placeAt":     {Values: []float64{3}, Why: "parameters a part has at most"},
	"newUnknowns": {Values: []float64{3}, Why: "parameters a part has at most"},
	"coefs":       {Values: []float64{3}, Why: "no loss beyond e³ of the page's"},
	"quantile":    {Values: []float64{8, 60}, Why: "bisection over 8 standard deviations"},
	"unknown":     {Values: []float64{12, 24}, Why: "how many ids an error lists"},
	"offer":       {Values: []float64{5}, Why: "where a survey's own parameters stand"},
	"foresee":     {Values: []float64{1.645}, Why: "95 % point of the normal distribution"},
	"diameterFor": {Values: []float64{0.5, 14, 0.95, 0.05}, Why: "bisection; ends of a 90 % interval"},
	"smallest":    {Values: []float64{20, 0.9, 0.01, 0.97, 0.03, 0.99}, Why: "worst severities that a plan looks at"},
	"lookAtPorts": {Values: []float64{1e-9, 1e-18}, Why: "no division by nothing"},
	"of":          {Values: []float64{1e-18}, Why: "no root of less than nothing"},
	"watch":       {Values: []float64{3}, Why: "a survey's own parameters"},
	"zoneName":    {Values: []float64{3}, Why: "how many names are shown"},
	"narrowed":    {Values: []float64{1e-7}, Why: "what is nothing beside the rest of a matrix"},
	"costParts":   {Values: []float64{3}, Why: "rank of a cost"},
	"bySeverity":  {Values: []float64{1e-3}, Why: "step of a difference"},
	"reduce":      {Values: []float64{3}, Why: "no loss beyond e³ of the page's"},
	"whiten":      {Values: []float64{3}, Why: "no parameter further than 3 standard deviations at once"},
	"round":       {Values: []float64{1e-300}, Why: "no division by nothing"},
	"slips":       {Values: []float64{10, 0.1, 0.005, 0.05}, Why: "one decimal place; slips that come to the same"},
}

// work is declarations whose numbers bound the work and the words: they cost
// time, or leave out what weighs next to nothing, and no answer rests on them.
var work = map[string]string{
	"fastVane": "a warning, no answer rests on it", "seeping": "a warning, no answer rests on it", "beyondFan": "a warning, no answer rests on it",
	"alikeEvidence": "what counts as told apart", "alikeMost": "how many stand together", "alikeShare": "what is not worth a look", "neededEvidence": "what counts as needed",
	"groups": "what weighs nothing", "grow": "what weighs nothing", "swaps": "what weighs nothing",
	"advance": "step control", "stride": "step control", "fitSteps": "bound of the iteration", "smallStep": "end of the iteration", "settledStep": "end of the iteration",
	"widerMost": "bound of what is advised", "nearMost": "bound of the work", "nearPorts": "bound of the work", "tellerStates": "bound of storage", "nearOut": "when a reading is not believed", "minVariance": "no root of less than nothing",
	"supplyMargin": "what is not worth solving", "poorFit": "when a second start is tried", "polishWindow": "bound of the search", "polishMost": "bound of the search", "stuckBy": "when a fit is tried again", "bentOff": "where a fit starts", "setAside": "a row of which nothing is believed", "fitFrom": "end of the iteration",
	"amplitude": "bound of the iteration", "doing": "bound of the iteration", "exchangeRounds": "bound of the search", "fitsScouting": "bound of the search", "beamScouting": "bound of the search",
	"diameterWindow": "bound of the search", "gatesLooks": "bound of the search", "gatesLeast": "bound of the search", "gatesStrange": "bound of the search", "forgotten": "bound of the search", "leadWindow": "bound of the search", "lookedOver": "bound of the search", "linearUpTo": "what is taken to be linear", "mostOff": "where a fit starts", "farthest": "where a fit starts",
	"tau2": "first estimate of a hypothesis, before it is fitted", "settledGain": "end of the iteration", "roughGain": "end of the iteration", "hardlyCounts": "end of the iteration",
	"amplitudeGain": "first estimate of a hypothesis, before it is fitted",
	"beamWidth":     "bound of the search", "jointMost": "bound of the search", "jointWindow": "bound of the search", "jointRounds": "bound of the search", "maxFaults": "bound of the search", "maxParts": "bound of the search", "fitsALevel": "bound of the search",
	"secondLooks": "bound of the search", "window": "bound of the search", "beamWindow": "bound of the search", "gross": "bound of the search", "fitBest": "bound of the search", "exchangeWindow": "bound of the search",
	"leading": "what weighs nothing", "rivals": "what weighs nothing", "looks": "what weighs nothing", "lowest": "bound of a search", "spotsIn": "how many holes are thought of",
	"nextSets": "bound of the search", "nextConfigs": "bound of the search", "nextShown": "how many are shown", "nextLeast": "what is not worth a reading", "nodes": "of a quadrature",
	"bisect": "bound of the iteration", "pick": "no division by nothing", "shows": "no division by nothing", "take": "no division by nothing", "shownAt": "what a plan calls shown",
	"doubts": "when a doubt is said", "gainsWithout": "gains that are not worth a line; its quantile is in the table", "evidenceMost": "how many are shown",
	"neighboursMost": "how many neighbours are thought of", "leadingLeast": "what weighs nothing", "near": "what weighs nothing",
	"ductAmount":     "bounds of what may be set, as in the table of keys",
	"setRoughness":   "bounds of what may be set, as in the table of keys",
	"setEnters":      "bounds of what may be set, as in the table of keys",
	"setLoss":        "bounds of what may be set, as in the table of keys",
	"setBlockage":    "bounds of what may be set, as in the table of keys",
	"setHood":        "bounds of what may be set, as in the table of keys",
	"setNeed":        "bounds of what may be set, as in the table of keys",
	"setTravel":      "bounds of what may be set, as in the table of keys",
	"setInlet":       "bounds of what may be set, as in the table of keys",
	"setTemperature": "bounds of what may be set, as in the table of keys",
	"setAltitude":    "bounds of what may be set, as in the table of keys",
	"setFilter":      "bounds of what may be set, as in the table of keys",
	"setCyclone":     "bounds of what may be set, as in the table of keys",
	"setFan":         "bounds of what may be set, as in the table of keys",
	"mostTogether":   "bound of the search",
	"fewest":         "bound of the search",
	"manyPorts":      "bound of the search",
	"fewGates":       "bound of the search",
	"mostFound":      "bound of the search",
	"bendsMost":      "bound of the search",
	"mostReference":  "bound of the search",
	"neverDays":      "bound of the search",
	"run":            "bound of the search",
	"shares":         "bound of the search",
	"leastInfo":      "what weighs nothing",
	"leastTaught":    "what weighs nothing",
	"leastFilter":    "what weighs nothing",
	"leastLoss":      "what weighs nothing",
	"leastOfLimit":   "what weighs nothing",
	"leastShare":     "what weighs nothing",
	"activeRidge":    "what weighs nothing",
	"leaksOf":        "what weighs nothing",
	"sharedOut":      "what weighs nothing",
	"show":           "what weighs nothing",
	"leastPart":      "what weighs nothing",
	"negligible":     "what weighs nothing",
	"sum":            "90 % interval, or the probability at which it is said",
	"reached":        "90 % interval, or the probability at which it is said",
	"interval":       "90 % interval, or the probability at which it is said",
	"expOf":          "90 % interval, or the probability at which it is said",
	"severityIn":     "90 % interval, or the probability at which it is said",
	"ideas":          "bound of the search",
	"leadingMost":    "bound of the search",
	"longestMove":    "step control",
	"search":         "how many rows may be set aside",
	"judge":          "rank of a product",
	"flowAlone":      "no division by nothing",
	"slipOf":         "no division by nothing",
	"nearSlip":       "when a doubt or a step is said",
	"moreFlow":       "90 % interval, or the probability at which it is said",
	"perYear":        "days, years and months",
	"farOff":         "days, years and months",
	"crossing":       "days, years and months",
	"charted":        "no division by nothing",
	"estimate":       "no division by nothing",
	"portsAtRest":    "no division by nothing",
	"signal":         "no division by nothing",
	"medianOfChange": "robust measure of scatter: medians of the normal distribution, and its correction for few values",
	"limitsFor":      "robust measure of scatter: medians of the normal distribution, and its correction for few values",
	"scatter":        "robust measure of scatter: medians of the normal distribution, and its correction for few values",
	"lastingLeft":    "robust measure of scatter: medians of the normal distribution, and its correction for few values",
	"chart":          "robust measure of scatter: medians of the normal distribution, and its correction for few values",
	"trackDoubts":    "when a doubt or a step is said",
	"dropped":        "density of a wrong value: anything up to the fan's pressure",
	"glance":         "when a doubt or a step is said",
	"bendStep":       "when a doubt or a step is said",
	"fitRobust":      "when a doubt or a step is said",
	"alikeOff":       "when a doubt or a step is said",
	"mostOnsets":     "bound of the search",
	"shortHistory":   "when a doubt or a step is said",
	"alikeNats":      "when a doubt or a step is said",
	"leftOver":       "when a doubt or a step is said",
	"jumps":          "when a doubt or a step is said",
	"stepClearer":    "when a doubt or a step is said",
	"name":           "when a doubt or a step is said",
	"bears":          "when a doubt or a step is said",
	"fanPlace":       "when a doubt or a step is said",
	"largestMove":    "when a doubt or a step is said",
	"mostFilter":     "when a doubt or a step is said",
	"sizeOf":         "when a doubt or a step is said",
	"repeatsKept":    "how many repeats are looked at one by one",
	"leastAdded":     "no join that drives the air, as no loss beyond e³ of the page's", "diameterFits": "bound of the search", "suspectsMost": "bound of the search", "sizesEach": "how many sizes share a prior, about", "sizesNear": "which sizes are worth a look",
	"patience": "when a fit is given up", "patienceFar": "when a fit is given up", "stillToCome": "when a fit is given up", "hopeless": "when a fit is given up",
	"fewSteps": "bound of the iteration", "fitsThinned": "bound of the search", "swinging": "step control", "unchangedSparse": "when a row of derivatives is taken over",
	"asBefore": "when a row of derivatives is taken over", "alike": "when a row of derivatives is taken over", "roughly": "when a fit is given up",
	"refineMost": "bound of the iteration", "refined": "end of the iteration", "shareAll": "signs", "share": "when all is worked out anew",
	"scaleFew": "bound of what is averaged", "scaleWindow": "what weighs nothing",
	"thinAbove": "what is called a large survey", "thinLinear": "bound of the search", "thinRounds": "bound of the search", "thinLooks": "bound of the search",
	"thinWindow": "bound of the search", "thinTell": "bound of the search", "thinStrange": "which readings are kept for themselves", "thinShare": "what weighs nothing",
	"advanceTries": "step control", "costSlack": "step control", "farBack": "step control", "mostUnsolved": "step control", "mostHard": "bound of the search", "mostGrown": "no loss beyond e³ of the page's grows as fast", "averageWindow": "bound of what is averaged", "scaleLooks": "bound of the search", "lessMost": "bound of the search", "farOut": "which values are slips",
	"mostOffers": "bound of the search", "fewestOffers": "bound of the search",
	"mostSaid":    "how much of a text a message repeats",
	"asWell":      "a factor of ten",
	"regatedFits": "bound of the search", "regatedWindow": "bound of the search",
	"misreadLeast": "what is worth a look", "misreadRest": "what is worth a look", "misreadNear": "what is worth a look", "misreadFar": "which rows are left out", "misreadMost": "bound of the search",
	"offInstruments": "percent", "middleOf": "the middle of a list", "stoodStill": "density of the normal distribution",
	"wideHole": "when a doubt is said", "branchDoubts": "area of a circle", "misgivings": "when a doubt is said", "inMillimetres": "how a diameter is shown", "withDiameter": "bound of the search",
	"basesWindow":      "bound of the search",
	"bigPlant":         "bound of the search",
	"carriedMost":      "bound of the search",
	"carryMost":        "bound of the search",
	"carryWindow":      "bound of the search",
	"causeFits":        "bound of the search",
	"causeGroups":      "bound of the search",
	"causeLooks":       "bound of the search",
	"causeWindow":      "bound of the search",
	"configsToRead":    "bound of the search",
	"dropSizes":        "bound of the search",
	"ductsMost":        "bound of the search",
	"exactPulls":       "bound of the search",
	"faultyLeast":      "bound of the search",
	"faultyWithin":     "bound of the search",
	"fitsLarge":        "bound of the search",
	"heavier":          "bound of the search",
	"heavyFrom":        "bound of the search",
	"heavyLooks":       "bound of the search",
	"heavyMove":        "bound of the search",
	"leadLeast":        "bound of the search",
	"leadOfMany":       "bound of the search",
	"leastScreened":    "bound of the search",
	"lengthMistakes":   "bound of the search",
	"lengthStep":       "bound of the search",
	"likeShare":        "bound of the search",
	"looksMost":        "bound of the search",
	"matters":          "bound of the search",
	"mattersLeast":     "bound of the search",
	"mistakeClear":     "bound of the search",
	"mistakeForgotten": "bound of the search",
	"mistakeSlack":     "bound of the search",
	"mistakeWindow":    "bound of the search",
	"mostEpisodes":     "bound of the search",
	"mostLike":         "bound of the search",
	"mostNamed":        "bound of the search",
	"mostTimes":        "bound of the search",
	"nearlyAll":        "bound of the search",
	"nextSetsBig":      "bound of the search",
	"otherGatesMost":   "bound of the search",
	"outByItself":      "bound of the search",
	"pageGainMost":     "bound of the search",
	"pageLeast":        "bound of the search",
	"portsLookedAt":    "bound of the search",
	"predictionsMost":  "bound of the search",
	"promisesLarge":    "bound of the search",
	"rivalSamples":     "bound of the search",
	"rolloutDeep":      "bound of the search",
	"rolloutTop":       "bound of the search",
	"screenWindow":     "bound of the search",
	"screenedSites":    "bound of the search",
	"settledLarge":     "bound of the search",
	"spotsLooked":      "bound of the search",
	"tapsMost":         "bound of the search",
	"unchangedSound":   "bound of the search",
	"weighedLeast":     "bound of the search",
	"widestTimes":      "bound of the search",
	"worldGain":        "bound of the search",
	"worldHopeful":     "bound of the search",
	"addAlike":         "when a doubt or a step is said",
	"alterations":      "when a doubt or a step is said",
	"besideFaultNats":  "when a doubt or a step is said",
	"dataErrorWords":   "when a doubt or a step is said",
	"farSeverity":      "when a doubt or a step is said",
	"fitIndicators":    "when a doubt or a step is said",
	"hardlyTells":      "when a doubt or a step is said",
	"holding":          "when a doubt or a step is said",
	"leastEpisode":     "when a doubt or a step is said",
	"looseFrom":        "when a doubt or a step is said",
	"mildest":          "when a doubt or a step is said",
	"resultOf":         "when a doubt or a step is said",
	"stillOpen":        "when a doubt or a step is said",
	"tooSmall":         "when a doubt or a step is said",
	"gain":             "90 % interval",
	"momentOf":         "90 % interval",
	"spanOf":           "90 % interval",
	"buy":              "no division by nothing",
	"fixUndersized":    "no division by nothing",
	"seenBy":           "no division by nothing",
	"times":            "no division by nothing",
	"lookProblem":      "how many of a list an error names",
	"effort":           "minutes that a remedy takes by its class; orders what to do, and changes no probability",
	"leastMore":        "a size that is made and next to what would do",
	"holePlace":        "centimetres that a hole is placed by",
	"steps":            "how far the severity of a survey moves to the next; own choice, said beside it",
	"fanMistake":       "fan curves that are tried",
	"unchangedLarge":   "when a row of derivatives is taken over",
	"fault":            "when it is called a fault",
}
