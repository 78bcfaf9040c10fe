// Package track follows one system over its surveys: what drifts, what broke and
// what was mended.
//
// The reference surveys say how the system is built (learn.go). Every survey is
// then fitted by a few indicators near that state (linearisation.go,
// indicatorfit.go): leakage and obstruction by zone, the filter, the fan. Charts
// watch the indicators (charted.go), the best explanation of a signal is
// selected (select.go), and trends say when a limit will be crossed (trend.go).
// Values are SI, times days.
package track
