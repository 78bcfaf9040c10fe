package systemfile

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"

	"lostair/diagnose/duct/keys"
	"lostair/diagnose/duct/trade"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// reader turns the syntax tree into values by the key tables, and gathers
// what is wrong on the way.
type reader struct {
	file  string
	units units.System
	out   problem.List
}

func (r *reader) add(at keys.Pos, what, do string) {
	r.out = append(r.out, problem.Problem{File: r.file, Line: at.Line, Column: at.Column, What: what, Do: do})
}

// At is where a node of the file begins; nowhere if it came from no file.
func At(n ast.Node) keys.Pos {
	switch v := n.(type) {
	case *ast.MappingNode:
		if !v.IsFlowStyle && len(v.Values) > 0 {
			return At(v.Values[0].Key)
		}
	case *ast.MappingValueNode:
		return At(v.Key)
	}
	tk := n.GetToken()
	if tk == nil || tk.Position == nil {
		return keys.Pos{}
	}
	if tk.Type == token.ImplicitNullType { // it stands one past what it belongs to
		return keys.Pos{Line: tk.Position.Line, Column: tk.Position.Column - 1}
	}
	return keys.Pos{Line: tk.Position.Line, Column: tk.Position.Column}
}

// entries are the keys and values of a mapping, or false if n is none.
func entries(n ast.Node) ([]*ast.MappingValueNode, bool) {
	switch v := n.(type) {
	case *ast.MappingNode:
		return v.Values, true
	case *ast.MappingValueNode:
		return []*ast.MappingValueNode{v}, true
	}
	return nil, false
}

// plain is the text of a scalar as written, or false if n is none.
func plain(n ast.Node) (string, bool) {
	switch v := n.(type) {
	case *ast.StringNode:
		return v.Value, true
	case *ast.LiteralNode:
		return v.Value.Value, true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		return n.GetToken().Value, true
	}
	return "", false
}

func isNull(n ast.Node) bool {
	if n == nil {
		return true
	}
	_, null := n.(*ast.NullNode)
	return null
}

// fields are the values of one mapping, read by its section's table.
type fields struct {
	keys.Marks
	nodes   []ast.Node // in step with marks.list
	numbers []float64  // likewise, of those that are numbers
	who     string     // what errors call this row
}

func (f *fields) has(key string) bool { return f.Find(key) != nil }

// good says whether the key is there and was read without a problem.
func (f *fields) good(key string) bool {
	m := f.Find(key)
	return m != nil && !m.Bad
}

func (f *fields) index(key string) int {
	for i := range f.List {
		if f.List[i].Key == key && !f.List[i].Bad {
			return i
		}
	}
	return -1
}

// number is the key's value in SI, or otherwise if it is not there.
func (f *fields) number(key string, otherwise float64) float64 {
	if i := f.index(key); i >= 0 {
		return f.numbers[i]
	}
	return otherwise
}

func (f *fields) text(key string) string {
	if i := f.index(key); i >= 0 {
		return f.List[i].Text
	}
	return ""
}

func (f *fields) node(key string) ast.Node {
	if i := f.index(key); i >= 0 {
		return f.nodes[i]
	}
	return nil
}

// read reads a mapping by the table of its section. Ok is false if n is no
// mapping, which is reported.
func (r *reader) read(n ast.Node, name, who string) (f fields, ok bool) {
	s := keys.SectionNamed(name)
	f.who, f.Written = who, true
	if isNull(n) {
		return f, false
	}
	f.Row = At(n)
	rows, ok := entries(n)
	if !ok {
		r.add(f.Row, who+" is not a set of keys", "write "+strings.Join(s.Names(), ", ")+", each as key: value")
		return f, false
	}
	if id := idOf(rows); id != "" && s.Key("id") != nil {
		f.who = s.Noun + " " + keys.Quote(id)
	}
	for _, kv := range rows {
		r.field(&f, s, kv)
	}
	for i := range s.Keys {
		if k := &s.Keys[i]; k.Needed && !f.has(k.Name) {
			r.missing(&f, k)
		}
	}
	return f, true
}

func idOf(rows []*ast.MappingValueNode) string {
	for _, kv := range rows {
		if key, _ := plain(kv.Key); key == "id" {
			id, _ := plain(kv.Value)
			return id
		}
	}
	return ""
}

func (r *reader) missing(f *fields, k *keys.Key) {
	r.add(f.Row, f.who+" has no "+k.Name, "add "+k.Name+": "+explain(k))
	f.put(keys.Mark{Key: k.Name, Pos: f.Row, Bad: true}, nil, 0)
}

// explain says what to write for the key.
func explain(k *keys.Key) string {
	if k.Form == keys.Choice {
		return problem.OrList(k.Choices) + ", " + k.What
	}
	return k.What
}

func (f *fields) put(m keys.Mark, n ast.Node, number float64) {
	f.List = append(f.List, m)
	f.nodes = append(f.nodes, n)
	f.numbers = append(f.numbers, number)
}

// field reads one key: value.
func (r *reader) field(f *fields, s *keys.Section, kv *ast.MappingValueNode) {
	pos := At(kv.Key)
	name, ok := plain(kv.Key)
	if !ok {
		r.add(pos, "in "+f.who+" something that is no text stands for a key", "write one of "+strings.Join(s.Names(), ", "))
		return
	}
	if other, ok := bend(s, name); ok {
		name = other
	}
	k := s.Key(name)
	if k == nil {
		r.unknownKey(pos, f, s, name, kv.Value)
		return
	}
	if f.has(name) {
		r.add(pos, f.who+" has "+name+" twice", "leave one of them out")
		return
	}
	if isNull(kv.Value) {
		do := "write " + explain(k)
		if !k.Needed {
			do += ", or leave the key out"
		}
		r.add(pos, f.who+": "+name+" has no value", do)
		f.put(keys.Mark{Key: name, Pos: pos, Bad: true}, nil, 0)
		return
	}
	m := keys.Mark{Key: name, Pos: At(kv.Value)}
	var number float64
	_, inner := entries(kv.Value)
	if k.Form >= keys.Inner || inner && k.Section != "" {
		f.put(m, kv.Value, 0)
		return
	}
	if m.Text, ok = plain(kv.Value); !ok {
		r.add(m.Pos, f.who+": "+name+" is not a single value", "write "+explain(k)+", as one value")
		m.Bad = true
	} else {
		number = r.value(f.who, k, &m)
	}
	f.put(m, kv.Value, number)
}

func (r *reader) unknownKey(pos keys.Pos, f *fields, s *keys.Section, name string, value ast.Node) {
	what := "unknown key " + keys.Quote(name) + " in " + f.who
	if _, err := strconv.ParseFloat(name, 64); err == nil && isNull(value) {
		r.add(pos, what, "write a decimal point, not a comma, and no signs of thousands: 2.5 or 1300")
		return
	}
	words := map[string]map[string]string{"ducts": keyWords, "collector.fan": fanWords}[s.Name]
	if do, ok := words[trade.Fold(name)]; ok {
		r.add(pos, what, do)
		return
	}
	if near, ok := problem.Nearest(keys.Cut(name), s.Names()); ok {
		r.add(pos, what, "did you mean "+near+"?")
		return
	}
	for _, other := range keys.Sections() {
		o := keys.SectionNamed(other)
		if o.Key(name) != nil && o.Name != "" && o.Noun != s.Noun {
			r.add(pos, what, name+" belongs to "+withArticle(o.Noun)+"; here stand "+strings.Join(s.Names(), ", "))
			return
		}
	}
	r.add(pos, what, "known here: "+strings.Join(s.Names(), ", "))
}

func withArticle(noun string) string {
	if strings.ContainsAny(noun[:1], "aeiou") {
		return "an " + noun
	}
	return "a " + noun
}

// value reads the text of m by its key's form, in SI if it is a number. What
// can't be read is reported, and m is then bad.
func (r *reader) value(who string, k *keys.Key, m *keys.Mark) (number float64) {
	fail := func(what, do string) {
		r.add(m.Pos, who+": "+k.Name+" "+what, do)
		m.Bad = true
	}
	var err error
	switch k.Form {
	case keys.Text:
		if n := utf8.RuneCountInString(m.Text); n > maxText {
			fail(fmt.Sprintf("has %d characters", n), fmt.Sprintf("shorten it to %d", maxText))
		}
	case keys.Choice:
		m.Text = meant(k, m.Text)
		if !slices.Contains(k.Choices, m.Text) {
			fail(keys.Quote(m.Text)+" is not known", whatElse(k, m.Text))
		}
	case keys.Mixed:
		m.Text = meant(k, m.Text)
		if slices.Contains(k.Choices, m.Text) {
			return 0
		}
		if number, err = r.mixed(k, m); err != nil {
			do := keys.Suggest(append([]string{"a number"}, k.Choices...), m.Text)
			if k.Name == "enters" && joinWords[trade.Fold(m.Text)] {
				do = "write the angle at which this run joins: 45 for most wyes, 90 for a tee; straight for the run that goes through"
			}
			fail(keys.Quote(m.Text)+" is neither a number nor "+problem.OrList(k.Choices), do)
		}
	case keys.Amount:
		if k.Name == "floor" {
			return 0 // waits until it is known what the instrument measures
		}
		if do, ok := sides(m.Text, k); ok {
			fail(keys.Quote(m.Text)+" is no single size", do)
			return 0
		}
		return r.amount(who, k, m)
	case keys.Angle:
		if number, err = angle(m.Text); err != nil {
			fail(keys.Quote(m.Text)+" is not an angle", "write degrees, for example 90")
		}
	case keys.Whole:
		n, err := strconv.ParseInt(strings.TrimSpace(m.Text), 10, 32)
		if err != nil {
			fail(keys.Quote(m.Text)+" is not a whole number", "write a whole number, for example 2")
		}
		return float64(n)
	case keys.YesNo:
		yes, ok := yesNo(m.Text)
		switch {
		case !ok:
			fail(keys.Quote(m.Text)+" is neither true nor false", "write true or false")
		case yes:
			return 1
		}
	}
	return number
}

// yesNo reads true or yes, false or no.
func yesNo(text string) (yes, ok bool) {
	switch strings.ToLower(text) {
	case "true", "yes":
		return true, true
	case "false", "no":
		return false, true
	}
	return false, false
}

// mixed reads the number of a Mixed: a branch angle or a loss factor.
func (r *reader) mixed(k *keys.Key, m *keys.Mark) (float64, error) {
	if k.IsAngle() {
		return angle(m.Text)
	}
	v, err := units.Parse(m.Text, k.Dim, r.units)
	return v.SI, err
}

// amount reads a number with or without its unit.
func (r *reader) amount(who string, k *keys.Key, m *keys.Mark) float64 {
	v, err := units.Parse(m.Text, k.Dim, r.units)
	m.Bare = !v.Explicit
	var ue *units.Error
	if errors.As(err, &ue) {
		what := ue.What
		if ue.Fault == units.Empty {
			what = "there is no value"
		}
		r.add(m.Pos, who+", "+k.Name+": "+what, ue.Do)
	}
	m.Bad = err != nil
	return v.SI
}

// angle reads degrees, or radians if the text says so. In radians: the file
// that Marshal writes holds every angle exactly.
func angle(text string) (float64, error) {
	text = strings.TrimSpace(text)
	scale := units.Degree
	for _, u := range []string{"°", "degrees", "deg"} {
		text = strings.TrimSuffix(text, u)
	}
	if t, ok := strings.CutSuffix(text, "rad"); ok {
		text, scale = t, 1
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
		err = strconv.ErrRange
	}
	return v * scale, err
}

// rows reads a list; each row is given to do with its number from 1. False:
// it is no list, or a row was empty or not to do's liking, all reported.
func (r *reader) rows(n ast.Node, who string, do func(i int, row ast.Node) bool) bool {
	if n == nil {
		return true
	}
	seq, ok := n.(*ast.SequenceNode)
	if !ok {
		r.add(At(n), who+" is not a list", "write a row for each, begun with -")
		return false
	}
	for i, row := range seq.Values {
		if isNull(row) {
			r.add(At(row), fmt.Sprintf("row %d of %s is empty", i+1, who), "fill it in or leave it out")
			ok = false
		} else if !do(i+1, row) {
			ok = false
		}
	}
	return ok
}
