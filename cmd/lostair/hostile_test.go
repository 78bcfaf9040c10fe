package main

import (
	"cmp"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"lostair/cmd/internal/console"
)

// hostileShop is a valid system whose names try to be markup, a formula, a
// control sequence, a path or text that runs backwards.
const hostileShop = `name: "\e[2J\e]0;owned\a<script>alert(1)</script>\u202Ename"
units: metric
collector:
  inlet: 150
  fan: {curve: [[0, 2900], [800, 2850], [1600, 2300], [2400, 1100], [2800, 0]]}
  cyclone: {drop: 500, at: 1600}
  filter: {drop: 140, at: 1600}
  bin: true
ducts:
  - {id: "<script>alert(1)</script>", into: collector, diameter: 150, length: 4, material: spiral, taps: {"=cmd|' /C calc'!A0": 2}}
  - {id: "\"a\" onload='x'", into: "<script>alert(1)</script>", enters: 45, diameter: 100, length: 2, material: spiral, gate: "@SUM(A1)", taps: {"-2": 1}}
  - {id: "rtl\u202Egpj.exe", into: "<script>alert(1)</script>", diameter: 100, length: 2, material: spiral, gate: "../../etc/passwd", taps: {"Tür ß 東": 1}}
ports:
  - {id: "</td><img src=x onerror=alert(1)>", duct: "\"a\" onload='x'", hood: plain, need: 500}
  - {id: "'=1", duct: "rtl\u202Egpj.exe", hood: plain, need: 500}
`

// Whatever names hold, no output is led astray by them: no control sequence
// reaches a terminal, no markup a page, no formula a spreadsheet, and nothing
// is written but the file asked for.
func TestHostileNames(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	require.NoError(t, os.WriteFile("system.yaml", []byte(hostileShop), 0o644))
	hostileSurveys(t)
	kept := t.TempDir()
	given, err := filepath.Glob("*")
	require.NoError(t, err)
	checks := map[string]func(*testing.T, string){"text": harmlessText, "html": harmlessPage, "svg": harmlessPage, "csv": harmlessTable, "json": harmlessJSON, "xlsx": harmlessWorkbook}
	again := formatsOf(t, "show")
	for i, line := range []string{
		"check system.yaml readings.csv",
		"expect system.yaml",
		"plan system.yaml --count 4",
		"sheet system.yaml",
		"sheet system.yaml --plan",
		"diagnose system.yaml readings.csv",
		"diagnose system.yaml ill.csv",
		"diagnose system.yaml ill.csv --baseline readings.csv",
		"verify system.yaml ill.csv",
		"whatif system.yaml --set collector.inlet=160",
		"track system.yaml readings.csv ill.csv",
		"track system.yaml --before ill.csv --after readings.csv",
	} {
		formats := []string{""}
		if command, _, _ := strings.Cut(line, " "); command != "check" { // which has text alone
			formats = formatsOf(t, command)
		}
		if strings.Contains(line, " --before ") { // a repair has no table
			formats = slices.Clone(again)
		}
		saved := filepath.Join(kept, fmt.Sprint(i, ".json"))
		slices.SortFunc(formats, func(a, b string) int { return cmp.Compare(after(a), after(b)) })
		for _, f := range formats {
			t.Run(line+" "+f, func(t *testing.T) {
				args := strings.Fields(line)
				if _, err := os.Stat(saved); err == nil && slices.Contains(again, f) {
					args = []string{"show", saved} // the same bytes, which a test of package subjects holds
				}
				if f != "" {
					args = append(args, "--format", f)
				}
				book := filepath.Join(kept, "book.xlsx")
				if f == "xlsx" { // it goes into a file of its own
					args = append(args, "--force", "-o", book)
				}
				got := runHere(t.Context(), console.Streams{}, args...)
				require.Equal(t, console.Done, got.status, got.err)
				if f == "xlsx" {
					data, err := os.ReadFile(book)
					require.NoError(t, err)
					got.out = string(data)
				}
				harmlessText(t, got.err)
				if f == "" {
					f = "text"
				}
				require.NotEmpty(t, got.out)
				if f == "json" {
					require.NoError(t, os.WriteFile(saved, []byte(got.out), 0o644))
				}
				require.Contains(t, checks, f, "say in checks how this format is checked")
				checks[f](t, got.out)
			})
		}
	}
	files, err := filepath.Glob("*")
	require.NoError(t, err)
	assert.Equal(t, given, files, "nothing else is written")
}

// formatsOf are the values that a command's --format takes, as the command says itself.
func formatsOf(t *testing.T, command string) []string {
	t.Helper()
	cmd, _, err := newRoot(console.Streams{}).Find([]string{command})
	require.NoError(t, err)
	values, ok := cmd.GetFlagCompletionFunc("format")
	require.True(t, ok, command)
	list, _ := values(cmd, nil, "")
	require.NotEmpty(t, list, command)
	return slices.Clone(list)
}

// after puts what can be shown again behind JSON, which saves it.
func after(format string) int {
	if format == "json" {
		return 0
	}
	return 1
}

// hostileSurveys writes readings.csv, as the system should show, with notes
// that are as bad as the names, and ill.csv, in which the drops' suctions are
// much smaller.
func hostileSurveys(t *testing.T) {
	t.Helper()
	got := runHere(t.Context(), console.Streams{}, "expect", "system.yaml", "--open", "all", "--open", "@SUM(A1)", "--open", "../../etc/passwd", "--format", "csv")
	require.Equal(t, console.Done, got.status, got.err)
	all, err := csv.NewReader(strings.NewReader(got.out)).ReadAll()
	require.NoError(t, err)
	head := all[0]
	rows := [][]string{head}
	for _, r := range all[1:] { // a few will do
		if q := r[slices.Index(head, "quantity")]; q == "static_pressure" {
			rows = append(rows, r)
		}
	}
	date, value, note := slices.Index(head, "date"), slices.Index(head, "value"), slices.Index(head, "note")
	require.True(t, min(date, value, note) >= 0)
	for file, by := range map[string]float64{"readings.csv": 1, "ill.csv": 0.6} {
		for i, r := range rows[1:] {
			r[note] = "=HYPERLINK(\"http://a\")<script>alert(1)</script>"
			r[date] = map[string]string{"readings.csv": "2026-03-02", "ill.csv": "2026-04-02"}[file]
			if v, err := strconv.ParseFloat(r[value], 64); err == nil && i%3 == 0 {
				r[value] = strconv.FormatFloat(v*by, 'g', 4, 64)
			}
		}
		var b strings.Builder
		require.NoError(t, csv.NewWriter(&b).WriteAll(rows))
		require.NoError(t, os.WriteFile(file, []byte(b.String()), 0o644))
	}
}

// harmlessText holds no control character but line ends, and none that can't
// be seen or that turns the direction of writing.
func harmlessText(t *testing.T, s string) {
	t.Helper()
	require.True(t, utf8.ValidString(s))
	for i, r := range s {
		if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)) {
			require.Failf(t, "a character that controls", "%U at %d: %q", r, i, s[max(0, i-20):min(len(s), i+20)])
		}
	}
}

func harmlessPage(t *testing.T, s string) {
	t.Helper()
	for _, bad := range []string{"<script>alert", "<img src=x", "\x1b", "\a", "\u202e", "onload='x'", `="a" onload`} {
		if i := strings.Index(s, bad); i >= 0 {
			require.Failf(t, "a name gets out", "%q in %q", bad, s[max(0, i-40):min(len(s), i+60)])
		}
	}
}

func harmlessTable(t *testing.T, s string) {
	t.Helper()
	r := csv.NewReader(strings.NewReader(s))
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.NotEmpty(t, rows)
	for _, row := range rows {
		for _, f := range row {
			if _, err := strconv.ParseFloat(f, 64); err == nil || f == "" {
				continue
			}
			require.NotContains(t, "=+-@\t\r", f[:1], "%q would run as a formula", f)
			require.NotContains(t, f, "\x1b")
		}
	}
}

func harmlessJSON(t *testing.T, s string) {
	t.Helper()
	require.True(t, json.Valid([]byte(s)))
	require.NotContains(t, s, "\x1b")
}

// harmlessWorkbook has no formula, and its cells are text or numbers.
func harmlessWorkbook(t *testing.T, s string) {
	t.Helper()
	f, err := excelize.OpenReader(strings.NewReader(s))
	require.NoError(t, err)
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet)
		require.NoError(t, err)
		require.NotEmpty(t, rows)
		for i, row := range rows {
			for k := range row {
				at, err := excelize.CoordinatesToCellName(k+1, i+1)
				require.NoError(t, err)
				formula, err := f.GetCellFormula(sheet, at)
				require.NoError(t, err)
				require.Empty(t, formula, "%s %s", sheet, at)
			}
		}
	}
}
