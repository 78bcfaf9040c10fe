package bench

import (
	"net/http/httptest"
	"strings"
	"testing"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/store"

	"github.com/stretchr/testify/require"
)

// fuzzShop is small, so that a request takes little time.
const fuzzShop = `units: metric
collector: {inlet: 150, fan: {curve: [[0, 2900], [1600, 2300], [2800, 0]]}}
ducts:
  - {id: main, into: collector, diameter: 150, length: 4, material: spiral, taps: {M: 2}}
  - {id: drop, into: main, enters: 45, diameter: 100, length: 2, material: spiral, gate: saw, taps: {T: 1}}
ports:
  - {id: saw, duct: drop, hood: plain, need: 500}
`

const fuzzSurvey = "date,open,point,quantity,value,unit,instrument,hose_off,position,note\n2026-05-04,saw,T,static_pressure,-1200,Pa,,,,\n"

// fuzzPlaces are where requests go.
var fuzzPlaces = []string{"/", "/new", "/files", "/files/", "/changes", "/phone", "/shop", "/shop/word", "/shop/try", "/shop/add", "/shop/try-add",
	"/shop/remove", "/shop/undo", "/shop/table", "/shop/ducts.csv", "/round", "/round/read", "/round/back", "/answer", "/answer/report", "/whatif",
	"/health", "/health/history", "/health/repair", "/print", "/print/sheet", "/demo/", "/nowhere", "/bench.css", "/shop/../../system.yaml"}

// FuzzHandlers: whatever is asked, by whichever form, the page answers without a
// fault of its own, under its strict policy, and shop and survey stay readable.
func FuzzHandlers(f *testing.F) {
	for i := range fuzzPlaces {
		f.Add(uint8(i), false, "", "")
		f.Add(uint8(i), true, "", "list=ducts&row=0&id=main&key=length&value=5&was=4")
	}
	f.Add(uint8(7), false, "list=ducts&row=-1&id=main&key=length", "")
	f.Add(uint8(7), false, "list=ducts&row=99999999999999999999&id=main&key=fittings", "")
	f.Add(uint8(7), true, "", "list=ports&row=0&id=saw&key=need&value=1e309")
	f.Add(uint8(7), true, "", "key=collector.fan&value=[[0,1],[1,0]]")
	f.Add(uint8(9), true, "", "into=main&what=drop&name=x&size=100&length=2")
	f.Add(uint8(13), true, "", "table=id,into,diameter%0Aa,collector,100")
	f.Add(uint8(15), true, "", "complaint=weak at saw")
	f.Add(uint8(16), true, "", "file=round.csv&open=saw&point=T&quantity=static_pressure&value=-1200&unit=Pa")
	f.Add(uint8(16), true, "", "file=../../etc/passwd&open=saw&point=T&quantity=static_pressure&value=NaN&unit=Pa")
	f.Add(uint8(18), false, "survey=round.csv&light=1", "")
	f.Add(uint8(20), false, "set=filter%3D2x&set=main.diameter%3D1e-9&open=none", "")
	f.Add(uint8(23), false, "before=round.csv&after=round.csv", "")
	f.Add(uint8(21), true, "", "date=0000-99-99&action=%00&where=main&kind=leak")
	f.Fuzz(func(t *testing.T, place uint8, post bool, query, body string) {
		a := over(t, store.File{Name: desk.SystemName, Data: []byte(fuzzShop)}, store.File{Name: "round.csv", Data: []byte(fuzzSurvey)})
		method := "GET"
		if post {
			method = "POST"
		}
		r := httptest.NewRequest(method, fuzzPlaces[int(place)%len(fuzzPlaces)], strings.NewReader(body))
		r.URL.RawQuery = query
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		w := httptest.NewRecorder()
		a.h.ServeHTTP(w, r)
		require.Less(t, w.Code, 500, w.Body.String())
		if w.Code/100 != 3 && strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
			require.Contains(t, w.Header().Get("Content-Security-Policy"), "default-src 'none'")
			require.NotContains(t, strings.ToLower(w.Body.String()), "<img src=x")
		}
		require.NotEmpty(t, a.file(desk.SystemName), "the shop is still there")
		require.Contains(t, a.file("round.csv")+body, "-1200", "no reading goes but by its own form")
	})
}
