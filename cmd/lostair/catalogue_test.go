package main

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
	"lostair/report"
)

// The commands that read a system file, and those that read a survey with it.
// SYSTEM and READINGS stand for the files.
var (
	ofSystem = []string{
		"check SYSTEM", "expect SYSTEM", "plan SYSTEM --count 3", "sheet SYSTEM", "sheet SYSTEM --plan", "whatif SYSTEM --set collector.inlet=160",
		"diagnose SYSTEM READINGS", "verify SYSTEM READINGS", "track SYSTEM READINGS READINGS", "track SYSTEM --before READINGS --after READINGS",
	}
	ofSurvey = []string{
		"check SYSTEM READINGS", "diagnose SYSTEM READINGS", "diagnose SYSTEM GOOD --baseline READINGS", "verify SYSTEM READINGS",
		"track SYSTEM GOOD READINGS", "track SYSTEM --before GOOD --after READINGS", "plan SYSTEM READINGS --count 3",
	}
)

// some are two of the commands, other ones for each k, and all in the long run.
func some(commands []string, k int) []string {
	if os.Getenv("LOSTAIR_LONG") == "" {
		return []string{commands[k%len(commands)], commands[(k+len(commands)/2)%len(commands)]}
	}
	return commands
}

// catalogue is a folder with a good system and survey, and the bad files of the
// packages that read them, with what is to be said of each.
func catalogue(t *testing.T, folder, ext string) (bad map[string]string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(moduleRoot(t), folder, "*"+ext))
	require.NoError(t, err)
	require.NotEmpty(t, files, "the catalogue of %s has moved", folder)
	bad = map[string]string{}
	for _, f := range files {
		want, err := os.ReadFile(strings.TrimSuffix(f, ext) + ".want")
		require.NoError(t, err)
		bad[f] = string(want)
	}
	return bad
}

// lines are the messages of a .want file without the file's name in front.
func messages(want string) (out []string) {
	for _, l := range strings.Split(strings.TrimSpace(want), "\n") {
		_, rest, ok := strings.Cut(l, ":")
		if ok && !strings.Contains(l, ": warning: ") {
			out = append(out, rest)
		}
	}
	return out
}

// Every bad file of the catalogues, through every command that could read it:
// status 2, the same messages, JSON errors where JSON was asked for, and nothing
// left on the disk.
func TestBadFilesThroughEveryCommand(t *testing.T) {
	systems := catalogue(t, "diagnose/duct/systemfile/testdata/bad", ".yaml")
	surveys := catalogue(t, "readings/testdata/bad", ".csv")
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "new", ".").status)
	given, err := filepath.Glob("*")
	require.NoError(t, err)
	for k, file := range slices.Sorted(maps.Keys(systems)) {
		want := systems[file]
		if len(messages(want)) == 0 {
			continue // warnings alone
		}
		for _, c := range some(ofSystem, k) {
			refused(t, strings.NewReplacer("SYSTEM", file, "READINGS", readingsFile).Replace(c), want)
		}
	}
	for k, file := range slices.Sorted(maps.Keys(surveys)) {
		want := surveys[file]
		for _, c := range some(ofSurvey, k) {
			refused(t, strings.NewReplacer("SYSTEM", systemFile, "READINGS", file, "GOOD", readingsFile).Replace(c), want)
		}
	}
	left, err := filepath.Glob("*")
	require.NoError(t, err)
	require.Equal(t, given, left)
}

// refused runs a command as it stands and with JSON asked for.
func refused(t *testing.T, line, want string) {
	t.Helper()
	args := strings.Fields(line)
	got := runHere(t.Context(), console.Streams{}, args...)
	if !assert.Equal(t, console.NotDone, got.status, line) {
		return
	}
	assert.Empty(t, got.out, line)
	for _, m := range messages(want) {
		assert.Contains(t, got.err, m, line)
	}
	if args[0] == "check" { // it has no formats
		return
	}
	got = runHere(t.Context(), console.Streams{}, append(args, "--format", "json")...)
	require.Equal(t, console.NotDone, got.status, line)
	var said report.Errors
	if args[0] != "sheet" { // it has no JSON, and says so as JSON
		require.NoError(t, json.Unmarshal([]byte(got.out), &said), "%s: %s", line, got.out)
		require.NotEmpty(t, said.Errors, line)
	}
}

// What can be wrong with arguments: the command line, and what is said.
var badArguments = []struct{ line, want string }{
	{"diagnos", `did you mean "diagnose"?`},
	{"--nonsense", "unknown flag"},
	{"-x", "unknown shorthand flag"},
	{"help nothing", "there is no command"},
	{"version 3", "one argument too many"},
	{"check", "it needs"},
	{"check nowhere.yaml", "can't be read: no such file"},
	{"check .", "can't be read: is a directory"},
	{"check system.yaml nowhere.csv", "cannot be read: no such file"},
	{"check system.yaml .", "is a directory"},
	{"check readings.csv", ""},
	{"check system.yaml system.yaml", ""},
	{"diagnose", "it needs a system file"},
	{"diagnose system.yaml", "it needs a system file and at least one readings file"},
	{"diagnose system.yaml readings.csv --format xml", `there is no format "xml"; use text, json, html or svg`},
	{"diagnose system.yaml readings.csv --format", "flag needs an argument"},
	{"diagnose system.yaml readings.csv --units imperial", `there is no system of units "imperial"`},
	{"diagnose system.yaml readings.csv --baseline nowhere.csv", "no such file"},
	{"diagnose system.yaml - -", "- stands for one readings file"},
	{"diagnose - readings.csv", "- stands for one readings file"},
	{"diagnose system.yaml readings.csv -o system.yaml", "is read and can't be the output too"},
	{"diagnose system.yaml readings.csv -o readings.csv --force", "is read and can't be the output too"},
	{"diagnose system.yaml readings.csv -o .", "is a folder"},
	{"diagnose system.yaml readings.csv -o no/such/folder/x.json", "can't be written: no such file"},
	{"diagnose system.yaml readings.csv -o old.txt", "old.txt exists; give another name, or --force"},
	{"diagnose system.yaml readings.csv readings.csv --format html", "shows one survey"},
	{"diagnose system.yaml readings.csv --fail-on-fault=perhaps", `--fail-on-fault takes true or false, not "perhaps"`},
	{"expect", "it needs"},
	{"expect system.yaml --open nosuchgate", "nosuchgate"},
	{"expect system.yaml --open ''", ""},
	{"expect system.yaml --format svg", "there is no format"},
	{"expect system.yaml readings.csv", "too many"},
	{"plan system.yaml --count x", `--count takes a whole number, not "x"`},
	{"plan system.yaml --count 99999999999999999999", "--count takes a whole number"},
	{"plan system.yaml --count -3", ""},
	{"plan system.yaml --count 0", ""},
	{"plan", "it needs"},
	{"sheet", "it needs"},
	{"sheet system.yaml --count 5", ""},
	{"sheet system.yaml --format text", "there is no format"},
	{"whatif", "it needs"},
	{"whatif system.yaml --set", "flag needs an argument"},
	{"whatif system.yaml --set x", ""},
	{"whatif system.yaml --set nothing.diameter=100", "nothing"},
	{"whatif system.yaml --set main.diameter=", ""},
	{"whatif system.yaml --set main.diameter=-5", "is not possible"},
	{"whatif system.yaml --set main.diameter=1e9", "is not possible"},
	{"whatif system.yaml --set main.diameter=1000000", "is not possible"},
	{"whatif system.yaml --set main.diameter=NaN", ""},
	{"whatif system.yaml --set main.colour=red", "colour"},
	{"whatif system.yaml --set main.diameter=150 --open nosuchgate", "nosuchgate"},
	{"verify", "it needs"},
	{"verify system.yaml", "it needs"},
	{"verify system.yaml readings.csv --tolerance x", ""},
	{"track", "it needs"},
	{"track system.yaml", ""},
	{"track system.yaml --before readings.csv", ""},
	{"track system.yaml --after readings.csv", ""},
	{"track system.yaml nowhere-at-all", "no such file"},
	{"demo --ports x", "--ports takes a whole number"},
	{"demo --ports 0", ""},
	{"demo --ports -5", ""},
	{"demo --ports 1000000000", ""},
	{"demo --seed 3", "--seed goes with --ports"},
	{"demo a b", "one argument too many"},
	{"demo system.yaml", "can't be made"},
	{"new system.yaml", "can't be made"},
	{"new .", "exists; give another folder"},
	{"new x --units parsec", "there is no system of units"},
	{"schema nothing", ""},
	{"schema", ""},
	{"sources --format xml", ""},
	{"sources extra", "too many"},
	{"schema system extra", "too many"},
	{"help diagnose nothing", "there is no command"},
	{"expect system.yaml --open saw --open", "flag needs an argument"},
	{"diagnose nowhere.yaml nowhere.csv", "no such file"},
	{"sheet nowhere.yaml -o sheet.html", "no such file"},
	{"verify nowhere.yaml nowhere.csv -o v.txt", "no such file"},
	{"plan nowhere.yaml -o p.csv", "no such file"},
	{"completion bahs", "there is no completion"},
	{"show", "it needs one saved result"},
	{"show nowhere.json", "nowhere.json can't be read: no such file"},
	{"show .", "is a directory"},
	{"show system.yaml", "is no saved result"},
	{"show readings.csv", "is no saved result"},
	{"show list.json", "holds a value of another kind (array)"},
	{"show other.json", "it reads versions 1 to"},
	{"show none.json", "holds no kind of result that is known"},
	{"show odd.json", "odd.json: its faults holds a value of another kind (string)"},
	{"show empty.json --format text", "something is missing in it; save the result again"},
	{"show result.json --format svg", `there is no format "svg"`},
	{"show result.json --units si", "there is no system of units"},
	{"show result.json result.json", "one argument too many"},
	{"show result.json -o result.json --force", "is read and can't be the output too"},
	{"show result.json -o old.txt", "old.txt exists"},
	{"show -", "is no saved result"},
	{"round", "it needs a system file and a readings file"},
	{"round system.yaml", "it needs a system file and a readings file"},
	{"round system.yaml -", "a round keeps its answers in a file"},
	{"round nowhere.yaml x.csv", "no such file"},
	{"round system.yaml system.yaml --weak saw", "is read and can't take the answers too"},
	{"round system.yaml readings.csv --baseline readings.csv --weak saw", "is read and can't take the answers too"},
	{"round system.yaml old.txt --weak saw", "old.txt: answers can't be written into it"},
	{"round system.yaml result.json --weak saw", "result.json: answers can't be written into it"},
	{"round system.yaml . --weak saw", "is a directory"},
	{"round system.yaml no/such/x.csv --weak saw", "no/such/x.csv can't be used: no such file"},
	{"round system.yaml x.csv --weak nothing", `there is no port "nothing"; the ports are`},
	{"round system.yaml x.csv --weak saw --because monthly", "give --weak or --because, not both"},
	{"round system.yaml x.csv --because nonsense", `there is no complaint "nonsense"`},
	{"round system.yaml x.csv --date 03/02/2026", "--date takes a day like 2026-03-02"},
	{"round system.yaml x.csv --date 2026-13-45", "--date takes a day like 2026-03-02"},
	{"round system.yaml x.csv --baseline nowhere.csv", "no such file"},
	{"round system.yaml x.csv --units parsec", "there is no system of units"},
	{"serve a b", "one argument too many"},
	{"serve nowhere", "make the folder first"},
	{"serve system.yaml", "is a file; give the folder that holds it"},
	{"serve --port x", "--port takes a whole number"},
	{"serve --port -1", "--port -1 is out of range"},
	{"serve --port 99999999", "--port 99999999 is out of range"},
	{"serve --lan=perhaps", `--lan takes true or false, not "perhaps"`},
	{"formats x", "one argument too many"},
	{"formats --nonsense", "unknown flag"},
	{"help formats x", "there is no command"},
	{"page a", "one argument too many"},
	{"page --nonsense", "unknown flag"},
	{"page -o nowhere/x.html", "is no checkout of lostair's source"},
	{"track system.yaml readings.csv --reference -1", "--reference is a number of surveys"},
	{"track system.yaml readings.csv --reference x", "--reference takes a whole number"},
	{"track system.yaml - -", "- stands for one readings file"},
	{"track system.yaml readings.csv --format svg", "there is no format"},
	{"track system.yaml readings.csv -o readings.csv --force", "is read and can't be the output too"},
	{"track system.yaml readings.csv --before readings.csv --after readings.csv", "leave the others out"},
	{"track system.yaml --before readings.csv --after readings.csv --format csv", "a repair is shown as text, html or json"},
	{"track system.yaml --before readings.csv --after readings.csv --sealed nowhere", `there is no duct "nowhere"`},
	{"track system.yaml --before readings.csv --after readings.csv --mended nowhere", `there is no place "nowhere"`},
	{"track system.yaml --before readings.csv --after readings.csv --sealed main --mended saw", "use one of them"},
	{"track system.yaml --sealed main", "--before and --after belong together"},
	{"verify system.yaml readings.csv --open nosuchgate", `there is no gate "nosuchgate"`},
	{"verify system.yaml readings.csv --filter 0.5x", "write a multiple of 1 or more"},
	{"verify system.yaml readings.csv --filter x", "write a multiple of 1 or more"},
	{"verify system.yaml readings.csv --tolerance 200%", "write a share such as 10%"},
	{"verify system.yaml readings.csv --tolerance -1%", "write a share such as 10%"},
	{"verify system.yaml readings.csv --format csv", "there is no format"},
	{"verify system.yaml readings.csv -o system.yaml --force", "is read and can't be the output too"},
	{"new x --from nowhere.csv", "nowhere.csv can't be read"},
	{"new x --from .", "is a directory"},
	{"new x --from readings.csv", ""},
	{"plan system.yaml --count 2001", "give 1 to 2000 readings"},
	{"plan system.yaml nowhere.csv", "no such file"},
	{"expect system.yaml --timeout 0", "give a time above zero"},
	{"check system.yaml --timeout -5m", "give a time above zero"},
	{"diagnose system.yaml readings.csv --timeout 1e9", "--timeout takes a time, like 30s or 2m"},
	{"track system.yaml readings.csv --timeout soon", "--timeout takes a time, like 30s or 2m"},
	{"round system.yaml new.csv --weak saw --timeout 0", "give a time above zero"},
	{"serve --timeout 10ms", "give a time from 1s to 1h"},
	{"serve --timeout 2h", "give a time from 1s to 1h"},
}

// withJSON are the commands that give JSON, and so their errors.
const withJSON = "diagnose verify track plan whatif expect show"

func TestBadArguments(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "new", ".").status)
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "plan", "system.yaml", "--count", "3", "--format", "json", "-o", "result.json").status)
	for name, text := range map[string]string{"old.txt": "old", "list.json": "[]", "other.json": `{"version": 99}`, "none.json": `{"version": 1}`, "empty.json": `{"version": 1, "series": []}`,
		"odd.json": `{"version": 1, "candidates": [], "faults": "none"}`} {
		require.NoError(t, os.WriteFile(name, []byte(text), 0o644))
	}
	given := snapshot(t)
	for _, c := range badArguments {
		t.Run(c.line, func(t *testing.T) {
			var args []string
			for _, a := range strings.Fields(c.line) {
				args = append(args, strings.Trim(a, "'"))
			}
			got := runHere(t.Context(), console.Streams{}, args...)
			require.Equal(t, console.NotDone, got.status, "%.300s%s", got.out, got.err)
			require.Contains(t, got.err, c.want)
			require.NotContains(t, got.err, "strconv")
			require.NotContains(t, got.err, "goroutine")
			harmlessText(t, got.err)
			require.Equal(t, given, snapshot(t), "something was written")
			if len(args) == 0 || strings.Contains(c.line, "--format") || !slices.Contains(strings.Fields(withJSON), args[0]) {
				return
			}
			got = runHere(t.Context(), console.Streams{}, append(args, "--format=json")...)
			require.Equal(t, console.NotDone, got.status, "%.300s%s", got.out, got.err)
			var said report.Errors
			require.NoError(t, json.Unmarshal([]byte(got.out), &said), got.out)
			require.NotEmpty(t, said.Errors)
			require.Equal(t, given, snapshot(t), "something was written")
		})
	}
}

// snapshot is every file below here with what it holds.
func snapshot(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	require.NoError(t, filepath.Walk(".", func(path string, info os.FileInfo, err error) error {
		if err != nil || info.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		out[path] = string(data)
		return err
	}))
	return out
}

// Files made large or strange in one place: what is said is short, and says where.
func TestOversizedFiles(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "new", ".").status)
	good, err := os.ReadFile(systemFile)
	require.NoError(t, err)
	points := strings.Repeat("[1, 1], ", 150_000)
	fan := func(curve string) string {
		return "units: metric\ncollector: {inlet: 150, fan: {curve: [" + curve + "]}}\n"
	}
	short := "ducts:\n  - {id: a, into: collector, diameter: 100, length: 1e-320, material: spiral, taps: {T: 1}}\nports:\n  - {id: p, duct: a, hood: plain}\n"
	for name, c := range map[string]struct{ text, want string }{
		"a name of 3 MB":        {strings.Replace(string(good), "name: My shop", "name: "+strings.Repeat("x", 3<<20), 1), "name has 3145728 characters; shorten it to 200"},
		"150,000 fan points":    {fan(points + "[2, 0]"), "the fan curve has 150001 points; give 200 at most"},
		"a blower of 90 kPa":    {fan("[0, 90000], [100, 0]"), `pressure "90000" is not possible; it lies between 0 Pa and 60000 Pa`},
		"a length of next to 0": {fan("[0, 2900], [100, 0]") + short, "its duct's length of 1e-320 m"},
	} {
		text := c.text
		require.NoError(t, os.WriteFile("large.yaml", []byte(text), 0o644))
		got := runHere(t.Context(), console.Streams{}, "check", "large.yaml")
		require.Equal(t, console.NotDone, got.status, name)
		require.Contains(t, got.err, c.want, name)
		require.Less(t, len(got.err), 2000, name)
	}
}

// A survey of more different readings than a diagnosis can take is refused by every
// command that would work with it, before the work.
func TestOversizedSurvey(t *testing.T) {
	t.Chdir(t.TempDir())
	var system, survey strings.Builder
	system.WriteString("units: metric\ncollector: {inlet: 300, fan: {curve: [[0, 2900], [3000, 0]]}}\nducts:\n  - {id: main, into: collector, diameter: 300, length: 4, material: pvc, taps: {M: 1}}\n")
	for i := range 13 {
		fmt.Fprintf(&system, "  - {id: d%d, into: main, enters: 45, diameter: 100, length: 2, material: pvc, gate: g%d}\n", i, i)
	}
	system.WriteString("ports:\n")
	for i := range 13 {
		fmt.Fprintf(&system, "  - {id: p%d, duct: d%d, hood: 1}\n", i, i)
	}
	survey.WriteString("date,open,point,quantity,value\n")
	for i := 1; i <= 6001; i++ {
		var open []string
		for g := range 13 {
			if i>>g&1 == 1 {
				open = append(open, fmt.Sprintf("g%d", g))
			}
		}
		fmt.Fprintf(&survey, "2026-03-02,%s,M,static_pressure,-1000\n", strings.Join(open, "+"))
	}
	require.NoError(t, os.WriteFile("large.yaml", []byte(system.String()), 0o644))
	require.NoError(t, os.WriteFile("large.csv", []byte(survey.String()), 0o644))
	require.NoError(t, os.WriteFile("small.csv", []byte("date,open,point,quantity,value\n2026-03-02,all,M,static_pressure,-1000\n"), 0o644))
	given := snapshot(t)
	for _, c := range ofSurvey {
		line := strings.NewReplacer("SYSTEM", "large.yaml", "READINGS", "large.csv", "GOOD", "small.csv").Replace(c)
		got := runHere(t.Context(), console.Streams{}, strings.Fields(line)...)
		assert.Equal(t, console.NotDone, got.status, line)
		assert.Contains(t, got.err, "large.csv: the survey has 6001 readings that differ, more than 6000; leave out", line)
		assert.Contains(t, got.err, "large.csv: the survey has 6001 settings of the gates, more than 1200; leave out", line)
		assert.Empty(t, got.out, line)
	}
	require.Equal(t, given, snapshot(t))
}

// A system of more ducts than readings can be weighed against is refused where a survey is
// weighed, before the work.
func TestOversizedSystem(t *testing.T) {
	t.Chdir(t.TempDir())
	var ducts, ports strings.Builder
	for i := range 10_000 {
		fmt.Fprintf(&ducts, "  - {id: d%d, into: main, enters: 45, diameter: 100, length: 2, material: pvc, gate: g%d}\n", i, i)
		fmt.Fprintf(&ports, "  - {id: p%d, duct: d%d, hood: 1}\n", i, i)
	}
	system := "units: metric\ncollector: {inlet: 300, fan: {curve: [[0, 2900], [3000, 0]]}}\nducts:\n  - {id: main, into: collector, diameter: 300, length: 4, material: pvc, taps: {M: 1}}\n" + ducts.String() + "ports:\n" + ports.String()
	require.NoError(t, os.WriteFile("large.yaml", []byte(system), 0o644))
	require.NoError(t, os.WriteFile("small.csv", []byte("date,open,point,quantity,value\n2026-03-02,none,M,static_pressure,-1000\n"), 0o644))
	given := snapshot(t)
	for _, c := range []string{"diagnose large.yaml small.csv", "verify large.yaml small.csv", "track large.yaml small.csv small.csv"} {
		got := runHere(t.Context(), console.Streams{}, strings.Fields(c)...)
		assert.Equal(t, console.NotDone, got.status, c)
		assert.Contains(t, got.err, "large.yaml: the system has 10001 ducts; readings are weighed against 10000 at most; split the plant", c)
		assert.Empty(t, got.out, c)
	}
	require.Equal(t, given, snapshot(t))
}

// UTF-16 is read, as many a spreadsheet and editor saves it.
func TestSystemInUTF16(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "new", ".").status)
	good, err := os.ReadFile(systemFile)
	require.NoError(t, err)
	for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
		var data []byte
		for _, u := range utf16.Encode([]rune("\uFEFF" + string(good))) {
			data = order.AppendUint16(data, u)
		}
		require.NoError(t, os.WriteFile("wide.yaml", data, 0o644))
		require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "check", "wide.yaml").status)
		require.NoError(t, os.WriteFile("wide.yaml", data[:len(data)-1], 0o644))
		got := runHere(t.Context(), console.Streams{}, "check", "wide.yaml")
		assert.NotContains(t, got.err, "goroutine")
	}
}
