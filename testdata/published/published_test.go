package published

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every package whose rows stand here runs them all (published.Run); this test
// adds up what they run, and holds the rows themselves to their form.
func TestCountByStatus(t *testing.T) {
	count, err := Counts()
	require.NoError(t, err)
	t.Log(Tally(count))
}

// A row for a package that has no test would never run.
func TestEveryRowHasARunner(t *testing.T) {
	all, err := All()
	require.NoError(t, err)
	homes := map[string]string{"airflow": "diagnose/airflow", "systemfile": "diagnose/duct/systemfile", "trade": "diagnose/duct/trade", "track": "diagnose/track", "readings": "readings",
		"asbuilt": "diagnose/internal/asbuilt", "fault": "diagnose/fault"}
	for _, r := range all {
		dir, ok := homes[r.Package]
		require.True(t, ok, "%s row %d: unknown package %q", r.File, r.Line, r.Package)
		b, err := os.ReadFile(filepath.Join("..", "..", dir, "published_test.go"))
		require.NoError(t, err)
		require.True(t, strings.Contains(string(b), "\""+r.Check+"\":"), "%s row %d: no check %q", r.File, r.Line, r.Check)
		require.NotEmpty(t, r.Source, "%s row %d has no source", r.File, r.Line)
		_, _, err = r.Bounds()
		require.NoError(t, err)
	}
}

// The README has a line for every entry P1–P64, R1–R11, D1 and X1–X9, and
// every test that it names exists.
func TestReadmeListsEveryEntry(t *testing.T) {
	b, err := os.ReadFile("README.md")
	require.NoError(t, err)
	text := string(b)
	var want []string
	for _, g := range []struct {
		letter string
		last   int
	}{{"P", 64}, {"R", 11}, {"D", 1}, {"X", 9}} {
		for i := 1; i <= g.last; i++ {
			want = append(want, "| "+g.letter+itoa(i)+" |")
		}
	}
	for _, w := range want {
		require.Equal(t, 1, strings.Count(text, w), "README.md has not one line that starts %q", w)
	}
	code := ""
	for _, dir := range []string{"diagnose", "readings"} {
		require.NoError(t, filepath.WalkDir(filepath.Join("..", "..", dir), func(path string, d fs.DirEntry, err error) error {
			if err != nil || !strings.HasSuffix(path, "_test.go") {
				return err
			}
			b, err := os.ReadFile(path)
			code += string(b)
			return err
		}))
	}
	for _, name := range regexp.MustCompile(`\bTest[A-Z]\w+`).FindAllString(text, -1) {
		require.True(t, strings.Contains(code, "func "+name+"("), "README.md names %s, and there is no such test", name)
	}
	all, err := All()
	require.NoError(t, err)
	for _, r := range all {
		if regexp.MustCompile(`^[PRDX]\d+$`).MatchString(r.ID) {
			require.Regexp(t, `(?m)^\| `+r.ID+` \|[^|]*\b`+regexp.QuoteMeta(r.File), text, "README.md line of %s does not name %s", r.ID, r.File)
		}
	}
}

func itoa(i int) string {
	if i < 10 {
		return string(rune('0' + i))
	}
	return itoa(i/10) + itoa(i%10)
}
