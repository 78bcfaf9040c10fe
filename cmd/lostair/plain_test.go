package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// archaic are words that nobody in the trade uses today.
var archaic = regexp.MustCompile(`(?i)\b(reckon\w*|but for|nought|hence|whence|thence|albeit|whilst|heed\w*|misgiven|misgivings?|let differ|shall|ought)\b`)

// What people read is plain English: texts of the program, and the documents.
func TestPlainEnglish(t *testing.T) {
	for _, name := range []string{"README.md", "DEVELOPERS.md", "CHANGELOG.md"} {
		text, err := os.ReadFile(filepath.Join(root, name))
		require.NoError(t, err)
		for _, w := range archaic.FindAllString(string(text), -1) {
			assert.Fail(t, "an archaic word", "%s: %s", name, w)
		}
	}
	literals(t, root, func(at, text string) {
		if w := archaic.FindString(text); w != "" && strings.Contains(text, " ") {
			assert.Fail(t, "an archaic word", "%s: %q in %q", at, w, text)
		}
	})
}

// unitWords are amounts with a unit in a text.
var unitWords = regexp.MustCompile(`(%[.\d]*[fgdv]|\d) ?(mm|cm2|m3/h|m/s|Pa|cfm|fpm|inH2O)\b`)

// unitsAllowed are the packages whose texts name units: sources as they are
// published, the format of the system file, what is typed after --set, and made-up shops.
var unitsAllowed = []string{"diagnose/airflow/", "diagnose/handbook/", "diagnose/duct/", "diagnose/facts/", "diagnose/trial/",
	"diagnose/internal/kit/", "diagnose/whatif/take.go", "facts.go"}

// No unit stands in a text of the diagnosis: its values are SI, and report shows
// them.
func TestDiagnoseNamesNoUnits(t *testing.T) {
	literals(t, filepath.Join(root, "diagnose"), func(at, text string) {
		if slices.ContainsFunc(unitsAllowed, func(p string) bool { return strings.Contains(at, p) }) {
			return
		}
		if w := unitWords.FindString(text); w != "" {
			assert.Fail(t, "a unit in the diagnosis", "%s: %q in %q", at, w, text)
		}
	})
}

// literals calls a function with each text of the Go files under a folder, and
// with its place. Tests are left out.
func literals(t *testing.T, folder string, each func(at, text string)) {
	t.Helper()
	n := 0
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		files := token.NewFileSet()
		f, err := parser.ParseFile(files, path, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		ast.Inspect(f, func(x ast.Node) bool {
			if l, ok := x.(*ast.BasicLit); ok && l.Kind == token.STRING {
				text, err := strconv.Unquote(l.Value)
				require.NoError(t, err)
				n++
				each(files.Position(l.Pos()).String(), text)
			}
			return true
		})
		return nil
	})
	require.NoError(t, err)
	require.Positive(t, n, "%s holds no Go file", folder)
}
