package fault

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct/systemfile"
)

// Every kind has its row in each table, and the shares are shares.
func TestEveryKindIsInEveryTable(t *testing.T) {
	require.Len(t, kinds, len(Kinds()))
	names := map[string]bool{}
	for _, k := range Kinds() {
		assert.NotEmpty(t, k.String())
		assert.NotEmpty(t, k.Measure())
		assert.False(t, names[k.String()], "twice: %s", k)
		names[k.String()] = true
		text, err := k.MarshalText()
		require.NoError(t, err)
		var again Kind
		require.NoError(t, again.UnmarshalText(text))
		assert.Equal(t, k, again)
	}
	_, err := kindsEnd.MarshalText()
	assert.Error(t, err)
	assert.ErrorContains(t, new(Kind).UnmarshalText([]byte("kink")), `"kink"`)
	all, built := 0.0, 0.0
	for _, k := range SearchedKinds() {
		assert.True(t, k.Searched())
		assert.Positive(t, KindShare[k], "KindShare of %s", k)
		assert.Positive(t, NewShare[k], "NewShare of %s", k)
		assert.Positive(t, Severities[k].Sd, "Severities of %s", k)
		all, built = all+KindShare[k], built+NewShare[k]
	}
	assert.InDelta(t, 1, all, 1e-9)
	assert.InDelta(t, 1, built, 1e-9)
	assert.Equal(t, Undersized, SearchedKinds()[len(SearchedKinds())-1]+1, "what is searched for comes before all others")
}

// What a kind does to the air is worked out for each that can be in a duct, and no
// unknown one is taken for another.
func TestNoKindIsTakenForAnother(t *testing.T) {
	sys, problems := systemfile.LoadFile("../../cmd/lostair/demo/system.yaml")
	require.NoError(t, problems.Err())
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	sites := append(Sites(m), Alterations(m, 0)...)
	for _, k := range append(SearchedKinds(), Altered) {
		i := slices.IndexFunc(sites, func(s *Site) bool { return s.Kind == k })
		require.GreaterOrEqual(t, i, 0, "the shop has no place for %s", k)
		v := sites[i].Variants[0]
		c := m.Coefs()
		before := *v.Spots[0].Slot.Of(&c)
		v.Apply(&c, v.Usual().Mean)
		assert.NotEqual(t, before, *v.Spots[0].Slot.Of(&c), "%s changes nothing", k)
		assert.NotZero(t, v.Amount(v.Usual().Mean), k.String())
		require.Len(t, v.Deltas(&c), len(v.Spots))
		require.NotZero(t, v.Slopes(&c, v.Usual().Mean)[0].By, k.String())
		if k.Searched() {
			fresh := m.Coefs()
			x, ok := v.Smallest(&fresh, 0.5)
			require.True(t, ok, k.String())
			require.True(t, LessBad(k, x, v.Severity(v.Usual().Mean)), "half of what a middling %s does is a milder one", k)
		}
	}
	c := m.Coefs()
	v := &Variant{Kind: kindsEnd, Spots: []Spot{{airflow.Slot{Kind: airflow.SlotSpeed}, 1}}, own: SeverityPrior{0, 1}}
	for name, use := range map[string]func(){
		"Severity": func() { v.Severity(0) }, "Amount": func() { v.Amount(0) }, "Apply": func() { v.Apply(&c, 0) },
		"Slopes": func() { v.Slopes(&c, 0) }, "Deltas": func() { v.Deltas(&c) }, "Smallest": func() { v.Smallest(&c, 1) },
	} {
		assert.Panics(t, use, name)
	}
}

// Every declaration of the program that tells kinds apart stands in testdata/kinds.txt
// with the kinds that it does not name. A new kind is named by none: this test then
// lists each place at which to decide what it is there. UPDATE_GOLDEN=1 writes the
// list anew, once every place on it has been looked at.
func TestWhereKindsAreToldApart(t *testing.T) {
	got := kindsToldApart(t, "../..")
	const file = "testdata/kinds.txt"
	if os.Getenv("UPDATE_GOLDEN") != "" {
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, []byte(strings.Join(got, "\n")+"\n"), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	list := strings.Split(strings.TrimSpace(string(want)), "\n")
	if more := beyond(got, list); more != "" {
		t.Errorf("is it right that these kinds are not named there?\n%s", more)
	}
	if gone := beyond(places(list), places(got)); gone != "" {
		t.Errorf("no such place any more:\n%s", gone)
	}
}

// places are the declarations of a list without the kinds.
func places(list []string) []string {
	var out []string
	for _, x := range list {
		place, _, _ := strings.Cut(x, ": ")
		out = append(out, place)
	}
	return out
}

// beyond are the lines of a that b lacks, one below another.
func beyond(a, b []string) string {
	var out []string
	for _, x := range a {
		if !slices.Contains(b, x) {
			out = append(out, x)
		}
	}
	return strings.Join(out, "\n")
}

// kindsToldApart lists the declarations that name one kind or more, each as
// "file declaration: the kinds that it does not name".
func kindsToldApart(t *testing.T, root string) []string {
	constants := kindConstants(t)
	var out []string
	require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && path != root && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata" || d.Name() == "samples" || d.Name() == "kit") {
			return fs.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || filepath.Base(path) == "kinds.go" {
			return nil
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		for _, decl := range f.Decls {
			named := kindsNamed(decl, constants, f.Name.Name == "fault")
			if len(named) == 0 {
				continue
			}
			var not []string
			for _, c := range constants {
				if !named[c] {
					not = append(not, c)
				}
			}
			out = append(out, strings.TrimSpace(fmt.Sprintf("%s %s: %s", filepath.ToSlash(rel), nameOf(decl), strings.Join(not, " "))))
		}
		return nil
	}))
	slices.Sort(out)
	return out
}

// kindsNamed are the kinds that a declaration names, as Leak in package fault and as
// fault.Leak elsewhere.
func kindsNamed(decl ast.Decl, constants []string, inside bool) map[string]bool {
	out := map[string]bool{}
	ast.Inspect(decl, func(n ast.Node) bool {
		switch x := n.(type) {
		case *ast.SelectorExpr:
			if of, ok := x.X.(*ast.Ident); ok && of.Name == "fault" && slices.Contains(constants, x.Sel.Name) {
				out[x.Sel.Name] = true
			}
		case *ast.Ident:
			if inside && slices.Contains(constants, x.Name) {
				out[x.Name] = true
			}
		}
		return true
	})
	return out
}

// kindConstants are the names of the kinds in the code.
func kindConstants(t *testing.T) []string {
	f, err := parser.ParseFile(token.NewFileSet(), "kinds.go", nil, parser.SkipObjectResolution)
	require.NoError(t, err)
	var out []string
	for _, decl := range f.Decls {
		g, ok := decl.(*ast.GenDecl)
		if !ok || g.Tok != token.CONST {
			continue
		}
		for _, s := range g.Specs {
			if name := s.(*ast.ValueSpec).Names[0].Name; ast.IsExported(name) {
				out = append(out, name)
			}
		}
	}
	require.Len(t, out, len(Kinds()))
	return out
}

// nameOf is what a declaration is called.
func nameOf(decl ast.Decl) string {
	switch x := decl.(type) {
	case *ast.FuncDecl:
		if x.Recv != nil {
			of := x.Recv.List[0].Type
			if p, ok := of.(*ast.StarExpr); ok {
				of = p.X
			}
			return fmt.Sprint(of, ".", x.Name.Name)
		}
		return x.Name.Name
	case *ast.GenDecl:
		for _, s := range x.Specs {
			if v, ok := s.(*ast.ValueSpec); ok {
				return v.Names[0].Name
			}
		}
	}
	return "?"
}
