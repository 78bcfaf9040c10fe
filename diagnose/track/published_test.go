package track

import (
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"lostair/testdata/published"
)

func TestPublished(t *testing.T) {
	published.Run(t, "track", map[string]published.Check{
		"EWMA value":          func(r published.Row) float64 { return ewmaOf(r).Values[int(r.SI("i"))-1] },
		"EWMA upper limit":    func(r published.Row) float64 { return ewmaOf(r).Upper },
		"EWMA lower limit":    func(r published.Row) float64 { return ewmaOf(r).Lower },
		"EWMA signals":        func(r published.Row) float64 { return float64(ewmaOf(r).First) },
		"CUSUM high":          func(r published.Row) float64 { return cusumOf(r).High[int(r.SI("i"))-1] },
		"CUSUM low":           func(r published.Row) float64 { return cusumOf(r).Low[int(r.SI("i"))-1] },
		"CUSUM first signal":  func(r published.Row) float64 { return float64(cusumOf(r).First) },
		"normal distribution": func(r published.Row) float64 { return distuv.UnitNormal.CDF(r.SI("z")) },
	})
}

func ewmaOf(r published.Row) ewmaChart {
	return ewma(r.List("data"), r.SI("lambda"), r.SI("target"), r.SI("sigma"), r.SI("k"))
}

func cusumOf(r published.Row) cusumChart {
	return cusum(r.List("data"), r.SI("target"), r.SI("k"), r.SI("h"))
}
