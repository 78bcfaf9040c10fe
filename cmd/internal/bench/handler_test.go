package bench

import (
	"bytes"
	"fmt"
	"html"
	"io/fs"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/store"
	"lostair/diagnose/duct/systemfile"
	"lostair/report/guided"
)

// asked is a bench page without a door, over files in memory.
type asked struct {
	t *testing.T
	*store.Memory
	h http.Handler
}

func over(t *testing.T, files ...store.File) *asked {
	m := store.NewMemory(files...)
	return &asked{t, m, New(Options{Files: m, Where: "here", Demo: demoFiles(t), Now: func() time.Time { return time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC) }})}
}

func (a *asked) get(address string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	a.h.ServeHTTP(w, httptest.NewRequest("GET", address, nil))
	return w
}

// post sends a form; pairs are name, value, name, value.
func (a *asked) post(address string, pairs ...string) *httptest.ResponseRecorder {
	v := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Add(pairs[i], pairs[i+1])
	}
	r := httptest.NewRequest("POST", address, strings.NewReader(v.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	a.h.ServeHTTP(w, r)
	return w
}

func (a *asked) file(name string) string {
	data, err := a.Read(name)
	require.NoError(a.t, err)
	return string(data)
}

func demoFile(t *testing.T, name string) store.File {
	for _, f := range demoFiles(t) {
		if f.Name == name {
			return f
		}
	}
	require.Fail(t, "no such file", name)
	return store.File{}
}

// Every page has the strict policy, and nothing in it that the policy would stop.
func TestEveryPageIsStrict(t *testing.T) {
	a := over(t)
	for _, view := range append([]string{"/nowhere", "/shop"}, views...) {
		w := a.get(view)
		assert.Less(t, w.Code, 500, view)
		assert.Equal(t, pages.Policy, w.Header().Get("Content-Security-Policy"), view)
		assert.NotRegexp(t, regexp.MustCompile(`(?i)<script[^>]*>[^<]|<style|\son[a-z]+=|\sstyle=|javascript:|https?://`), w.Body.String(), view)
	}
	for _, view := range []string{"/demo/answer/report", "/demo/health/history", "/demo/print/sheet", "/demo/health/repair?before=history/2025-08-04.csv&after=history/2025-09-04.csv"} {
		w := a.get(view)
		assert.Equal(t, 200, w.Code, view)
		csp := w.Header().Get("Content-Security-Policy")
		assert.Contains(t, csp, "style-src 'sha256-", view)
		assert.NotContains(t, csp, "unsafe", view)
	}
}

// roundBegins is how the file of a round begins.
const roundBegins = "# A round with the bench page. Complaint: "

// Whatever stands in a file stays text.
func TestMarkupInFilesStaysText(t *testing.T) {
	vile := `"><img src=x onerror=alert(1)><script>alert(2)</script>`
	system := strings.NewReplacer("id: saw-drop", "id: '"+vile+"'", "into: saw-drop", "into: '"+vile+"'", "Boat-builder's shop, six machines", "'"+vile+"'").Replace(string(demoFile(t, "system.yaml").Data))
	a := over(t, store.File{Name: "system.yaml", Data: []byte(system)}, store.File{Name: vile[2:9] + ".csv", Data: demoFile(t, "readings.csv").Data}, store.File{Name: "repairs.csv", Data: []byte("date,kind,where,action,note\n2026-01-01,leak," + `"` + strings.ReplaceAll(vile, `"`, `""`) + `"` + ",x,y\n")})
	for _, view := range []string{"/", "/shop", "/shop?run=" + url.QueryEscape(vile), "/shop/add?what=drop&into=" + url.QueryEscape(vile), "/shop/word?list=ducts&row=9&key=id&id=" + url.QueryEscape(vile),
		"/round", "/answer", "/answer?light=1&survey=" + url.QueryEscape(vile), "/whatif?set=" + url.QueryEscape(vile+"=1"), "/health", "/print", "/?told=" + url.QueryEscape(vile)} {
		w := a.get(view)
		assert.NotContains(t, w.Body.String(), "<img src=x", view)
		assert.NotContains(t, w.Body.String(), "<script>alert", view)
		assert.NotContains(t, w.Body.String(), "onerror=alert(1)>\"", view)
	}
	assert.Contains(t, a.get("/shop").Body.String(), "&lt;script&gt;alert(2)", "it is shown")
}

// full is a store on a disk that has no room.
type full struct{ *store.Memory }

func (full) Write(string, []byte, string) error {
	return &fs.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC}
}

func TestDiskFull(t *testing.T) {
	sys := demoFile(t, "system.yaml")
	round := store.File{Name: "round-2026-05-04.csv", Data: []byte(roundBegins + "x.\ndate,open,point,quantity,value,unit,instrument,hose_off,position,note\n")}
	a := over(t, sys, round)
	a.h = New(Options{Files: full{a.Memory}, Now: time.Now})
	for address, form := range map[string][]string{
		"/shop/word":  {"list", "ducts", "row", "0", "id", "main", "key", "length", "value", "5", "was", "3.6"},
		"/shop/add":   {"into", "main", "what", "run", "name", "new", "size", "100", "length", "2"},
		"/round":      {"complaint", "x"},
		"/round/read": {"file", round.Name, "open", "saw", "point", "T-saw", "quantity", "static_pressure", "value", "-1200", "unit", "Pa"},
		"/health":     {"date", "2026-05-04", "action", "x"},
	} {
		w := a.post(address, form...)
		assert.Equal(t, 500, w.Code, address)
		assert.Contains(t, w.Body.String(), "no space left", address)
		assert.Contains(t, w.Body.String(), "Nothing was changed", address)
	}
	assert.Equal(t, string(sys.Data), a.file("system.yaml"))
}

func TestFilesFromTheBrowser(t *testing.T) {
	send := func(a *asked, name, data string, more ...string) *httptest.ResponseRecorder {
		var b bytes.Buffer
		m := multipart.NewWriter(&b)
		f, err := m.CreateFormFile("file", name)
		require.NoError(t, err)
		f.Write([]byte(data))
		for _, x := range more {
			m.WriteField(x, "yes")
		}
		m.Close()
		r := httptest.NewRequest("POST", "/files", &b)
		r.Header.Set("Content-Type", m.FormDataContentType())
		w := httptest.NewRecorder()
		a.h.ServeHTTP(w, r)
		return w
	}
	a := over(t, store.File{Name: "old.csv", Data: []byte("a")})
	assert.Equal(t, 303, send(a, "my shop.yaml", "units: us\n").Code)
	assert.Equal(t, "units: us\n", a.file("system.yaml"))
	assert.Equal(t, 409, send(a, "old.csv", "b").Code)
	assert.Equal(t, "a", a.file("old.csv"), "nothing is overwritten unasked")
	assert.Equal(t, 303, send(a, "old.csv", "b", "replace").Code)
	assert.Equal(t, "b", a.file("old.csv"))
	assert.Equal(t, 303, send(a, "../../new.csv", "c").Code)
	assert.Equal(t, "c", a.file("new.csv"), "only the name counts")
	for _, name := range []string{".hidden.csv", "run.exe", "page.html", "x.csv.bat"} {
		assert.Equal(t, 422, send(a, name, "c").Code, name)
	}
	w := a.get("/files/old.csv")
	assert.Equal(t, "b", w.Body.String())
	assert.Contains(t, w.Header().Get("Content-Disposition"), "attachment")
	for _, name := range []string{"/files/none.csv", "/files/..%2f..%2fetc%2fpasswd", "/files/%2e%2e/x.csv"} {
		w := a.get(name)
		assert.Contains(t, []int{301, 307, 404}, w.Code, name)
	}
}

// A mistake is refused at its field, in the words of check, and changes nothing.
func TestMistakesAtTheirField(t *testing.T) {
	sys := demoFile(t, "system.yaml")
	for name, c := range map[string]struct {
		form []string
		says string
	}{
		"no number":     {[]string{"list", "ducts", "row", "0", "id", "main", "key", "length", "value", "long"}, "long"},
		"a wrong unit":  {[]string{"list", "ducts", "row", "0", "id", "main", "key", "diameter", "value", "4 Pa"}, "Pa"},
		"too large":     {[]string{"list", "ducts", "row", "0", "id", "main", "key", "diameter", "value", "90000"}, "diameter"},
		"a name twice":  {[]string{"list", "ducts", "row", "1", "id", "slip-run", "key", "id", "value", "main"}, "main"},
		"in a circle":   {[]string{"list", "ducts", "row", "0", "id", "main", "key", "into", "chip", "saw-drop"}, ""},
		"nothing":       {[]string{"list", "ducts", "row", "0", "id", "main", "key", "length", "value", ""}, "Nothing was given"},
		"a lone number": {[]string{"key", "collector.fan", "table", "0 2000\n800"}, "not a pair"},
	} {
		t.Run(name, func(t *testing.T) {
			a := over(t, sys)
			w := a.post("/shop/word", c.form...)
			assert.Equal(t, 422, w.Code)
			assert.Contains(t, w.Body.String(), `class="problem"`)
			assert.Contains(t, w.Body.String(), c.says)
			assert.Equal(t, string(sys.Data), a.file("system.yaml"))
			assert.Contains(t, a.post("/shop/try", c.form...).Body.String(), `class="problem"`, "as it is typed, too")
		})
	}
}

// Words change what they say, and nothing else in the file.
func TestWords(t *testing.T) {
	sys := demoFile(t, "system.yaml")
	for name, c := range map[string]struct {
		form     []string
		from, to string
	}{
		"length":   {[]string{"list", "ducts", "row", "0", "id", "main", "key", "length", "value", "12 ft", "was", "3.6"}, "length: 3.6", "length: 12 ft"},
		"comma":    {[]string{"list", "ducts", "row", "0", "id", "main", "key", "length", "value", "3,75", "was", "3.6"}, "length: 3.6", "length: 3.75"},
		"size":     {[]string{"list", "ducts", "row", "0", "id", "main", "key", "diameter", "chip", "180", "was", "160"}, "collector, diameter: 160", "collector, diameter: 180"},
		"bends":    {[]string{"list", "ducts", "row", "0", "id", "main", "key", "fittings", "n90", "2", "n45", "1", "radius", "1.5", "was", "[{elbow: 90, radius: 1.5}]"}, "fittings: [{elbow: 90, radius: 1.5}], taps: {M1: 2.2}", "fittings: [{elbow: 90, radius: 1.5, count: 2}, {elbow: 45, radius: 1.5}], taps: {M1: 2.2}"},
		"gate off": {[]string{"list", "ducts", "row", "8", "id", "saw-hose", "key", "gate", "none", "yes", "was", "saw"}, ", gate: saw}", "}"},
		"need":     {[]string{"list", "ports", "row", "3", "id", "saw", "key", "need", "value", "950", "was", "930"}, "hood: 1.2, need: 930", "hood: 1.2, need: 950"},
		"filter":   {[]string{"key", "collector.filter", "none", "yes", "was", "{drop: 160, at: 1500}"}, "  filter: {drop: 160, at: 1500}\n", ""},
		"a hole":   {[]string{"list", "ducts", "row", "8", "id", "saw-hose", "key", "taps", "name", "H1", "at", "0.4", "was", ""}, "gate: saw}", "gate: saw, taps: {H1: 0.4}}"},
	} {
		t.Run(name, func(t *testing.T) {
			a := over(t, sys)
			require.Equal(t, 1, strings.Count(string(sys.Data), c.from), "the test names a place that is not one")
			form := append([]string(nil), c.form...)
			if name == "gate off" || name == "a hole" { // rows are found by their id
				form[3] = "99"
			}
			w := a.post("/shop/word", form...)
			require.Equal(t, 303, w.Code, w.Body.String())
			assert.Equal(t, strings.Replace(string(sys.Data), c.from, c.to, 1), a.file("system.yaml"))
			require.Equal(t, 303, a.post("/shop/undo").Code)
			assert.Equal(t, string(sys.Data), a.file("system.yaml"), "taken back")
		})
	}
}

func TestRenameFollowsThrough(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"))
	require.Equal(t, 303, a.post("/shop/word", "list", "ducts", "row", "0", "id", "main", "key", "id", "value", "trunk", "was", "main").Code)
	assert.NotContains(t, a.file("system.yaml"), "into: main,")
	assert.Equal(t, 2, strings.Count(a.file("system.yaml"), "into: trunk,"))
	assert.Contains(t, a.get("/shop").Body.String(), "Nothing to put right.")
}

func TestTakingOut(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"))
	assert.Equal(t, 409, a.post("/shop/remove", "list", "ducts", "row", "0", "id", "main").Code, "others flow into it")
	require.Equal(t, 303, a.post("/shop/remove", "list", "ducts", "row", "0", "id", "saw-hose").Code)
	assert.NotContains(t, a.file("system.yaml"), "{id: saw-hose,")
	assert.NotContains(t, a.file("system.yaml"), "{id: saw,")
	assert.Contains(t, a.get("/shop").Body.String(), "to put right")
}

// A round: a reading is in the file at once, can be taken back, and a slip is
// asked about.
func TestRoundByHand(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"))
	require.Equal(t, 303, a.post("/round", "complaint", "weak at saw").Code)
	assert.Contains(t, a.file(today), "weak at saw")
	read := func(value, unit string, more ...string) *httptest.ResponseRecorder {
		return a.post("/round/read", append([]string{"file", today, "open", "saw", "point", "T-saw", "quantity", "static_pressure", "value", value, "unit", unit}, more...)...)
	}
	require.Equal(t, 303, read("-1,2", "kPa").Code)
	assert.Contains(t, a.file(today), "2026-05-04,saw,T-saw,static_pressure,\"-1,2\",kPa,gauge,,,\n")
	require.Equal(t, 303, read("-4.9 inH2O", "Pa").Code)
	assert.Contains(t, a.file(today), ",-4.9,inH2O,gauge")
	w := read("1200", "Pa")
	assert.Equal(t, 422, w.Code, "pressure above the room's before the fan")
	assert.Contains(t, w.Body.String(), "It is right as it is")
	assert.NotContains(t, a.file(today), ",1200,")
	assert.Contains(t, read("1.2", "kPa").Body.String(), `value="kPa" checked`, "what is asked about is in the unit that it was typed in")
	require.Equal(t, 303, read("1200", "Pa", "sure", "yes").Code)
	assert.Contains(t, a.file(today), ",1200,")
	assert.Equal(t, 422, read("a lot", "Pa").Code)

	before := a.file(today)
	page := a.get("/round").Body.String()
	was := regexp.MustCompile(`name="was" value="([0-9a-f]+)"`).FindStringSubmatch(page)
	require.NotNil(t, was)
	require.Equal(t, 303, a.post("/round/back", "file", today, "was", was[1]).Code)
	assert.Equal(t, strings.Replace(before, "2026-05-04,saw,T-saw,static_pressure,1200,Pa,gauge,,,\n", "", 1), a.file(today))
	assert.Equal(t, 409, a.post("/round/back", "file", today, "was", was[1]).Code, "sent twice")
	assert.Equal(t, 409, a.post("/round/read", "file", "../x.csv", "value", "1").Code)
	assert.Equal(t, 409, a.post("/round/read", "file", "repairs.csv", "value", "1").Code)
}

// A duct measured across is answered by a number: what it can't be is refused, and what
// its page does not say is asked about.
func TestMeasuredAcrossByHand(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"))
	require.Equal(t, 303, a.post("/round", "complaint", "weak at saw").Code)
	read := func(value, unit string, more ...string) *httptest.ResponseRecorder {
		return a.post("/round/read", append([]string{"file", today, "open", "none", "point", "saw-hose", "quantity", "inside_diameter", "value", value, "unit", unit}, more...)...)
	}
	w := read("9", "mm")
	assert.Equal(t, 422, w.Code)
	assert.Contains(t, w.Body.String(), "aw-hose can hardly be 9 mm wide inside")
	w = read("8", "cm")
	assert.Equal(t, 422, w.Code)
	assert.Contains(t, w.Body.String(), "aw-hose measures 80 mm across, the system file says 110 mm")
	assert.Contains(t, w.Body.String(), "It is right as it is")
	assert.Contains(t, w.Body.String(), `value="cm" checked`)
	require.Equal(t, 303, read("8", "cm", "sure", "yes").Code)
	assert.Contains(t, a.file(today), "2026-05-04,none,saw-hose,inside_diameter,8,cm,,,,\n")
	require.Equal(t, 303, read("111", "mm").Code, "it is as written")
	assert.Contains(t, a.file(today), ",111,mm,")
}

func TestRepairsAreLogged(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"))
	assert.Equal(t, 422, a.post("/health", "date", "2026-05-04").Code)
	require.Equal(t, 303, a.post("/health", "date", "2026-05-04", "kind", "leak", "where", "main", "action", "=taped, twice").Code)
	require.Equal(t, 303, a.post("/health", "date", "2026-05-05", "action", "b").Code)
	assert.Equal(t, "date,kind,where,action,note\n2026-05-04,leak,main,\"'=taped, twice\",\n2026-05-05,,,b,\n", a.file("repairs.csv"))
	assert.NotContains(t, a.get("/answer").Body.String(), "repairs.csv", "it is no survey")
}

// The log is read as lostair track reads it: columns in any order, and what is wrong is told.
func TestRepairsAreReadAsTrackReadsThem(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"), store.File{Name: "repairs.csv", Data: []byte("Action;Date\ntape;2026-05-04\n")})
	assert.Contains(t, a.get("/health").Body.String(), "begin with the line date,kind,where,action,note")
	a = over(t, demoFile(t, "system.yaml"), store.File{Name: "repairs.csv", Data: []byte("# by hand\naction, Date\nnew tape, 2026-05-04\nolder tape,2026-04-04\n")})
	page := a.get("/health").Body.String()
	assert.Regexp(t, "(?s)2026-05-04.*new tape.*2026-04-04.*older tape", page)
	require.Equal(t, 303, a.post("/health", "date", "2026-05-05", "action", "belt").Code)
	assert.Equal(t, "# by hand\naction, Date\nnew tape, 2026-05-04\nolder tape,2026-04-04\nbelt,2026-05-05\n", a.file("repairs.csv"))
	a = over(t, demoFile(t, "system.yaml"), store.File{Name: "repairs.csv", Data: []byte("date,action\nyesterday,tape\n")})
	assert.Contains(t, a.get("/health").Body.String(), "yesterday&#34; is not a date")
	assert.Equal(t, 422, a.post("/health", "date", "soon", "action", "belt").Code)
}

// What the answer says to do is done: the readings that spoke for the fault are taken
// again, and the repair is proved and logged once.
func TestRepairIsProved(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"), demoFile(t, "readings.csv"))
	sys, list := systemfile.Load(demoFile(t, "system.yaml").Data, "system.yaml")
	require.NoError(t, list.Err())
	mended := &world{t, sys, nil}
	assert.Contains(t, a.get("/answer?survey=readings.csv").Body.String(), "/round/proof?survey=readings.csv")
	const at = "/round/proof?survey=readings.csv"
	field := func(page, name string) string {
		m := regexp.MustCompile(`name="` + name + `" value="([^"]*)"`).FindStringSubmatch(page)
		require.NotNil(t, m, name)
		return html.UnescapeString(m[1])
	}
	step := func(more ...string) *httptest.ResponseRecorder {
		page := a.get(at).Body.String()
		return a.post("/round/proof", append([]string{"of", "readings.csv", "step", field(page, "step"), "entry", field(page, "entry"), "unit", ""}, more...)...)
	}
	asks := 0
	for page := a.get(at).Body.String(); strings.Contains(page, `name="step"`) && asks < 5; page = a.get(at).Body.String() {
		assert.Contains(t, page, "of 3.", "the proof asks three readings")
		if asks == 0 {
			assert.Equal(t, 422, step("value", "much").Code)
		}
		v, ok := mended.reads(field(page, "open"), field(page, "point"), field(page, "quantity"))
		require.True(t, ok)
		require.Equal(t, 303, step("value", fmt.Sprintf("%.4g", v), "sure", "yes").Code)
		asks++
	}
	assert.Equal(t, 3, asks)
	page := a.get(at).Body.String()
	assert.Regexp(t, "Better than before: (over )?99 in 100", page)
	assert.Contains(t, page, "log of repairs</a>.")
	assert.Equal(t, 4, strings.Count(a.file("readings-after.csv"), "2026-05-04")+1)
	log := a.file("repairs.csv")
	assert.Equal(t, 1, strings.Count(log, "2026-05-04,leak,"), log)
	assert.Regexp(t, "better than before: (over )?99 in 100", a.get("/health").Body.String())
	assert.Equal(t, 303, a.post("/round/proof", "of", "readings.csv", "step", "x|y", "value", "1").Code, "sent too late")
	assert.Equal(t, log, a.file("repairs.csv"))
	for _, vile := range []string{"", "../x.csv", "repairs.csv", "none.csv"} {
		assert.Equal(t, 404, a.get("/round/proof?survey="+url.QueryEscape(vile)).Code, vile)
		assert.Equal(t, 404, a.post("/round/proof", "of", vile, "step", "x").Code, vile)
	}
}

// Readings that can't be taken are skipped; then nothing is claimed.
func TestProofWithNothingRead(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"), demoFile(t, "readings.csv"))
	for range 3 {
		m := regexp.MustCompile(`name="step" value="([^"]*)"`).FindStringSubmatch(a.get("/round/proof?survey=readings.csv").Body.String())
		require.NotNil(t, m)
		require.Equal(t, 303, a.post("/round/proof", "of", "readings.csv", "step", html.UnescapeString(m[1]), "skip", "yes").Code)
	}
	page := a.get("/round/proof?survey=readings.csv").Body.String()
	assert.Contains(t, page, "Nothing was read after the repair")
	assert.NotContains(t, page, "Better than before")
	_, err := a.Read("repairs.csv")
	assert.ErrorIs(t, err, fs.ErrNotExist)
}

// A system file that can't be read is said so everywhere, and left alone.
func TestBrokenSystemFile(t *testing.T) {
	a := over(t, store.File{Name: "system.yaml", Data: []byte("units: metric\nducts: [\n")})
	for _, view := range []string{"/shop", "/round", "/answer", "/health", "/print"} {
		w := a.get(view)
		assert.Equal(t, 422, w.Code, view)
		assert.Contains(t, w.Body.String(), "system.yaml", view)
	}
	assert.Equal(t, 409, a.post("/new", "name", "x").Code)
	assert.Equal(t, "units: metric\nducts: [\n", a.file("system.yaml"))
	assert.Contains(t, a.get("/").Body.String(), "correct it with a text editor")
}

// A table is shown as understood before it is taken, and comes out again.
func TestTableOfRuns(t *testing.T) {
	a := over(t)
	require.Equal(t, 303, a.post("/new", "name", "x", "units", "us").Code)
	before := a.file("system.yaml")
	table := "id,into,size,length (ft),bends,gate,machine,need\nmain,collector,6,20,1,,,\nsaw drop,main,5,8,2x90,,,\nsaw hose,saw drop,4,4,,saw,saw,350\n"
	w := a.post("/shop/table", "table", table)
	require.Equal(t, 200, w.Code)
	assert.Contains(t, w.Body.String(), "3 runs")
	assert.Contains(t, w.Body.String(), "two 90° bends")
	assert.Equal(t, before, a.file("system.yaml"), "nothing is taken yet")
	require.Equal(t, 303, a.post("/shop/table", "table", table, "take", "yes").Code)
	assert.Contains(t, a.file("system.yaml"), "{id: saw hose, into: saw drop, diameter: 4, length: 4 ft, material: spiral, gate: saw}")
	assert.Contains(t, a.file("system.yaml"), "{id: saw, duct: saw hose, hood: 1.0, need: 350}")
	assert.Contains(t, a.get("/shop/ducts.csv").Body.String(), "saw hose,saw drop,straight,4,4 ft,spiral,,saw,,saw,350,1.0")
	assert.Equal(t, 422, a.post("/shop/table", "table", "no table").Code)
	require.Equal(t, 303, a.post("/shop/undo").Code)
	assert.Equal(t, before, a.file("system.yaml"))
}

// A port is read with its machine unhooked, or by a pitot tube, in the words of the
// terminal's round; what was asked at first is then not asked any more.
func TestReadAnotherWay(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"))
	require.Equal(t, 303, a.post("/round", "complaint", "weak at spindle").Code)
	follow := func(page, name string) string {
		t.Helper()
		for _, m := range regexp.MustCompile(`<a class="button" href="([^"]*)">([^<]*)</a> ([^<]*)<`).FindAllStringSubmatch(page, -1) {
			if m[2] == name {
				w, _ := guided.WayNamed(name)
				_, what := guided.Way(w)
				assert.Equal(t, what, m[3])
				return a.get(html.UnescapeString(m[1])).Body.String()
			}
		}
		require.Fail(t, "there is no such way: "+name)
		return ""
	}
	field := func(page, name string) string {
		m := regexp.MustCompile(`name="` + name + `" value="([^"]*)"`).FindStringSubmatch(page)
		require.NotNil(t, m, name)
		return html.UnescapeString(m[1])
	}
	page := follow(a.get("/round").Body.String(), "hose off")
	assert.Contains(t, page, "unhook the hose from spindle")
	assert.Contains(t, page, "how much air it really gets", "it is asked for the same reason")
	assert.NotContains(t, page, ">hose off</a>", "it is off")
	page = follow(page, "pitot")
	assert.Contains(t, page, "velocity pressure in the middle")
	assert.Equal(t, "spindle|spindle|velocity|", field(page, "in_place_of"))
	send := []string{}
	for _, n := range []string{"file", "entry", "after", "step", "open", "point", "quantity", "hose_off", "in_place_of"} {
		send = append(send, n, field(page, n))
	}
	w := a.post("/round/read", append(send, "value", "no number", "unit", "Pa")...)
	require.Equal(t, 422, w.Code)
	assert.Equal(t, "velocity_pressure", field(w.Body.String(), "quantity"), "it asks for the same again")
	other := over(t, store.File{Name: desk.SystemName, Data: []byte(a.file(desk.SystemName))}, store.File{Name: today, Data: []byte(a.file(today))})
	require.Equal(t, 303, other.post("/round/read", append(send, "skip", "yes")...).Code)
	assert.Equal(t, a.file(today)+"# not read: spindle|spindle|velocity| (skipped)\n", other.file(today), "the place is skipped, in every way")
	require.Equal(t, 303, a.post("/round/read", append(send, "value", "420", "unit", "Pa")...).Code)
	assert.Contains(t, a.file(today), "spindle,spindle,velocity_pressure,420,Pa,gauge,spindle,,")
	assert.Contains(t, a.file(today), "# not read: spindle|spindle|velocity| (skipped)")
	page = a.get("/round").Body.String()
	assert.Equal(t, "T-spindle", field(page, "point"))
	assert.NotContains(t, page, ">pitot</a>", "no air speed is asked for")
}

// A hole that is asked for goes into the shop's file once it is drilled, and no sooner;
// what can't be reached, or is not there, is not asked for again.
func TestHoleIsDrilled(t *testing.T) {
	shop := `# my shop
units: metric
collector: {inlet: 150, fan: {curve: [[0, 2500], [2500, 100]]}, filter: {drop: 150, at: 1500}}
ducts:
  - {id: main, into: collector, diameter: 150, length: 9, material: spiral, taps: {M1: 1}}
  - {id: saw-drop, into: main, enters: 45, diameter: 100, length: 6, material: spiral, gate: saw} # by the door
  - {id: lathe-drop, into: main, diameter: 100, length: 5, material: spiral, gate: lathe}
ports:
  - {id: saw, duct: saw-drop, hood: 1.2, need: 550}
  - {id: lathe, duct: lathe-drop, hood: 1.2, need: 550}
`
	head := roundBegins + "weak at saw.\nopen,point,quantity,value,unit\nsaw,saw,velocity,14,m/s\nsaw,M1,static_pressure,-1900,Pa\n"
	a := over(t, store.File{Name: desk.SystemName, Data: []byte(shop)}, store.File{Name: today, Data: []byte(head)})
	field := func(page, name string) string {
		m := regexp.MustCompile(`name="` + name + `" value="([^"]*)"`).FindStringSubmatch(page)
		require.NotNil(t, m, name)
		return html.UnescapeString(m[1])
	}
	page := ""
	for range 12 {
		page, _, _ = strings.Cut(a.get("/round").Body.String(), "<template")
		if strings.Contains(page, "/round/tap") {
			break
		}
		require.Equal(t, 303, a.post("/round/read", "file", today, "step", field(page, "step"), "skip", "yes").Code)
	}
	require.Contains(t, page, "new hole")
	assert.NotContains(t, page, "What it shows", "it can't be read yet")
	tap := []string{"duct", field(page, "duct"), "tap", field(page, "tap"), "open", field(page, "open")}
	assert.Equal(t, []string{"duct", "saw-drop", "tap", "saw-drop-tap", "open", "saw"}, tap)
	early := a.post("/round/read", "file", today, "step", field(page, "step"), "open", "saw", "point", "saw-drop-tap", "quantity", "static_pressure", "value", "-900")
	assert.Equal(t, 422, early.Code)
	for _, at := range []string{"", "far", "60", "-1"} {
		assert.Equal(t, 422, a.post("/round/tap", append(tap, "at", at)...).Code, at)
	}
	assert.Equal(t, shop, a.file(desk.SystemName), "nothing is written that does not hold")
	w := a.post("/round/tap", append(tap, "at", "0,5 m")...)
	require.Equal(t, 303, w.Code)
	is := strings.Replace(shop, "gate: saw}", "gate: saw, taps: {saw-drop-tap: 0.5}}", 1)
	assert.Equal(t, is, a.file(desk.SystemName))
	assert.Equal(t, 303, a.post("/round/tap", append(tap, "at", "0,5 m")...).Code, "sent twice")
	assert.Equal(t, is, a.file(desk.SystemName))
	page = a.get(w.Header().Get("Location")).Body.String()
	assert.Equal(t, "saw-drop-tap", field(page, "point"))
	assert.Contains(t, page, "There is no such hole")

	require.Equal(t, 303, a.post("/round/read", "file", today, "step", field(page, "step"), "point", "saw-drop-tap", "skip", "no tap").Code)
	assert.Contains(t, a.file(today), "# not read: saw-drop-tap (no such tap)\n")
	require.Equal(t, 303, a.post("/round/read", "file", today, "step", "saw|M1|static_pressure|", "point", "M1", "skip", "reach").Code)
	assert.Contains(t, a.file(today), "# not read: M1 (out of reach)\n")
	assert.Equal(t, 422, a.post("/round/read", "file", today, "step", "saw|M1|static_pressure|", "point", "x|y", "skip", "reach").Code)
	next, _, _ := strings.Cut(a.get("/round").Body.String(), "<details><summary>Read something else")
	assert.NotContains(t, next, `name="point" value="M1"`)
	assert.NotContains(t, next, `name="point" value="saw-drop-tap"`)
}

// A round that begins with a weak machine begins at that machine.
func TestComplaintSteers(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"))
	require.Equal(t, 303, a.post("/round", "complaint", "weak at spindle").Code)
	page := a.get("/round").Body.String()
	assert.Contains(t, page, "T-spindle")
	assert.Contains(t, page, "only spindle open")
	require.Equal(t, 303, a.post("/round/read", "file", today, "step", "spindle|T-spindle|static_pressure|", "skip", "yes").Code)
	page = a.get("/round").Body.String()
	assert.Contains(t, page, "air speed at the mouth of spindle")
}

// What is typed into the form for adding is judged as it is typed; what is still
// empty is no mistake.
func TestAddingIsJudgedAsItIsTyped(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"))
	try := func(pairs ...string) string {
		return a.post("/shop/try-add", append([]string{"into", "main", "what", "run"}, pairs...)...).Body.String()
	}
	assert.Empty(t, try())
	assert.Empty(t, try("name", "new", "length", "2.5", "size-typed", "4 in"))
	assert.Contains(t, try("name", "main"), "already")
	assert.Contains(t, try("length", "2 Pa"), "Pa")
	assert.Contains(t, try("size-typed", "90000"), "out of range")
	assert.Contains(t, try("hose-length", "two"), "two")
}

// An answer whose work takes longer than it may is given up, and says so.
func TestWorkThatTakesTooLong(t *testing.T) {
	m := store.NewMemory(demoFiles(t)...)
	o := Options{Files: m, Where: "here", Now: time.Now}
	address := "/answer?survey=readings.csv"
	whole := httptest.NewRecorder()
	New(o).ServeHTTP(whole, httptest.NewRequest("GET", address, nil))
	require.Equal(t, http.StatusOK, whole.Code)
	o.Work = 1
	w := httptest.NewRecorder()
	New(o).ServeHTTP(w, httptest.NewRequest("GET", address, nil))
	assert.Equal(t, http.StatusServiceUnavailable, w.Code)
	assert.Contains(t, w.Body.String(), "It took too long and was stopped.")
}
