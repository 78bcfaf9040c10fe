package systemfile

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
	"golang.org/x/text/encoding/unicode"

	"lostair/diagnose/duct/keys"
	"lostair/readings/problem"
)

// Limits that keep any input's cost in time and memory in proportion to its
// size. The parser takes quadratic time over long block mappings and over
// keys without a value, and recurses with depth; hence maxDepth, maxKeys and maxEmpty.
const (
	maxBytes  = 4 << 20
	maxDepth  = 20
	maxKeys   = 1000
	maxEmpty  = 1000
	maxText   = 200 // of a name or a remark, in characters
	maxPoints = 200 // of the fan curve
)

// parse returns the root of the one YAML document in data, or nil and why not.
func parse(data []byte, file string) (root ast.Node, out problem.List) {
	data, err := asUTF8(data)
	if err != nil {
		return nil, problem.List{{File: file, What: "this is not UTF-16 text, though it begins like that", Do: "save the file as UTF-8"}}
	}
	if p, ok := readable(data); !ok {
		p.File = file
		return nil, problem.List{p}
	}
	tokens := lexer.Tokenize(text(data))
	if out = guard(tokens, file); len(out) > 0 {
		return nil, out
	}
	// The parser is a big program of others: whatever it makes of odd input
	// must come out as a problem of the file.
	defer func() {
		if recover() != nil {
			root = nil
			out = problem.List{{File: file, What: "this is not YAML that can be read", Do: askYAML}}
		}
	}()
	f, err := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		return nil, problem.List{syntax(err, file)}
	}
	if len(f.Docs) == 0 || f.Docs[0].Body == nil {
		return nil, nothing(file)
	}
	return f.Docs[0].Body, nil
}

func nothing(file string) problem.List {
	return problem.List{{File: file, What: "the file describes nothing", Do: "start from the file that `lostair new` writes"}}
}

const askYAML = "look for a missing bracket, quote or colon, or an uneven indent, here and in the line above"

// asUTF8 turns UTF-16, which is known by its byte-order mark, into UTF-8.
func asUTF8(data []byte) ([]byte, error) {
	if !bytes.HasPrefix(data, []byte{0xFF, 0xFE}) && !bytes.HasPrefix(data, []byte{0xFE, 0xFF}) {
		return data, nil
	}
	return unicode.UTF16(unicode.BigEndian, unicode.ExpectBOM).NewDecoder().Bytes(data)
}

// text is data as the parser needs it: without byte-order mark, and with line
// ends of one character, since it counts CR LF as two lines.
func text(data []byte) string {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if bytes.IndexByte(data, '\r') >= 0 {
		data = bytes.ReplaceAll(data, []byte("\r\n"), []byte("\n"))
		data = bytes.ReplaceAll(data, []byte("\r"), []byte("\n"))
	}
	return string(data)
}

// readable says whether data is text of a bearable size.
func readable(data []byte) (problem.Problem, bool) {
	if len(data) > maxBytes {
		return problem.Problem{
			What: fmt.Sprintf("the file has more than %d bytes", maxBytes), // no more than that is read
			Do:   "is this the system file? If so, split the plant into its duct systems",
		}, false
	}
	line, column := 1, 1
	for s := text(data); len(s) > 0; {
		r, n := utf8.DecodeRuneInString(s)
		switch {
		case r == utf8.RuneError && n == 1:
			return problem.Problem{Line: line, Column: column, What: fmt.Sprintf("the byte 0x%02x is not UTF-8 text", s[0]),
				Do: "save the file as UTF-8"}, false
		case r == '\n':
			line, column = line+1, 0
		case r < ' ' && r != '\t' || r == 0x7f:
			return problem.Problem{Line: line, Column: column, What: fmt.Sprintf("the control character 0x%02x stands here", r),
				Do: "take it out"}, false
		}
		s, column = s[n:], column+1
	}
	return problem.Problem{}, true
}

func syntax(err error, file string) problem.Problem {
	p := problem.Problem{File: file, What: "this is not YAML that can be read", Do: askYAML}
	var ye yaml.Error
	if !errors.As(err, &ye) {
		return p
	}
	if tk := ye.GetToken(); tk != nil && tk.Position != nil {
		p.Line, p.Column = tk.Position.Line, tk.Position.Column
		if strings.HasPrefix(strings.TrimLeft(tk.Origin, "\n"), "\t") {
			p.Do = "indent with spaces, not with tabs"
		}
	}
	msg := ye.GetMessage()
	if strings.Contains(msg, "'\t'") {
		p.Do = "indent with spaces, not with tabs"
		msg = "a tab where spaces are needed"
	}
	p.What = "not readable as YAML: " + strings.Map(printable, msg)
	return p
}

func printable(r rune) rune {
	if r == '\n' || r == '\t' {
		return ' '
	}
	if !strconv.IsPrint(r) {
		return -1
	}
	return r
}

// guard refuses what the parser could choke on, and the parts of YAML that a
// system file has no use for and that could hide what it says.
func guard(tokens token.Tokens, file string) problem.List {
	g := watch{file: file, keys: map[int]int{}}
	for i, tk := range tokens {
		if tk.Type == token.CommentType {
			continue
		}
		g.see(tk, next(tokens, i))
		if len(g.out) >= 50 || g.stop {
			break
		}
	}
	return g.out
}

func next(tokens token.Tokens, i int) *token.Token {
	for _, tk := range tokens[i+1:] {
		if tk.Type != token.CommentType {
			return tk
		}
	}
	return nil
}

// watch is the state of guard between tokens.
type watch struct {
	file   string
	line   int
	first  *token.Token // of this line
	flow   []token.Type // open brackets
	indent []int        // columns of the lines' starts, outermost first
	keys   map[int]int  // keys of the block mapping at this column so far
	colons int          // block keys in this line
	dashes int          // list entries in this line
	empty  int
	begun  bool
	last   *token.Token
	stop   bool
	out    problem.List
}

func (g *watch) add(tk *token.Token, what, do string) {
	g.out = append(g.out, problem.Problem{File: g.file, Line: tk.Position.Line, Column: tk.Position.Column, What: what, Do: do})
}

// end is add for what leaves no sense in looking further.
func (g *watch) end(tk *token.Token, what, do string) {
	g.add(tk, what, do)
	g.stop = true
}

func (g *watch) see(tk, next *token.Token) {
	if tk.Position.Line != g.line {
		g.newLine(tk)
	}
	switch tk.Type {
	case token.AnchorType, token.AliasType, token.MergeKeyType:
		name := tk.Value
		if next != nil && tk.Type != token.MergeKeyType {
			name += next.Value
		}
		g.add(tk, "anchors, aliases and merge keys are not read: "+keys.Quote(name), "write the values out, or put text that begins so in quotes")
	case token.TagType:
		g.add(tk, "type tags are not read: "+keys.Quote(strings.TrimSpace(tk.Value)), "leave it out, or put text that begins so in quotes")
	case token.MappingKeyType:
		g.add(tk, "a key written with ? is not read", "write key: value")
	case token.DirectiveType:
		g.end(tk, "YAML directives are not read", "leave the line out")
	case token.DocumentHeaderType:
		if g.begun {
			g.end(tk, "a second document begins here", "one file holds one system: leave out the line ---")
		}
	case token.MappingStartType, token.SequenceStartType:
		g.flow = append(g.flow, tk.Type)
		g.tooDeep(tk)
	case token.MappingEndType, token.SequenceEndType:
		g.inFlowMap(tk)
		if n := len(g.flow); n > 0 {
			g.flow = g.flow[:n-1]
		}
	case token.CollectEntryType:
		g.inFlowMap(tk)
	case token.MappingValueType:
		g.colon(tk, next)
	case token.SequenceEntryType:
		g.dash(tk, next)
	}
	g.begun = g.begun || tk.Type != token.DocumentHeaderType
	g.last = tk
}

func (g *watch) newLine(tk *token.Token) {
	g.line, g.first, g.colons, g.dashes = tk.Position.Line, tk, 0, 0
	if len(g.flow) > 0 {
		return
	}
	column := tk.Position.Column
	for n := len(g.indent); n > 0 && g.indent[n-1] > column; n-- {
		g.indent = g.indent[:n-1]
	}
	for c := range g.keys {
		if c > column {
			delete(g.keys, c)
		}
	}
	if n := len(g.indent); n == 0 || g.indent[n-1] < column {
		g.indent = append(g.indent, column)
		g.tooDeep(tk)
	}
}

func (g *watch) tooDeep(tk *token.Token) {
	if len(g.flow)+len(g.indent)+g.dashes > maxDepth {
		g.end(tk, fmt.Sprintf("this is nested more than %d deep", maxDepth), "a system file needs five levels: close the brackets that are open")
	}
}

func (g *watch) colon(tk, next *token.Token) {
	if len(g.flow) > 0 {
		if next == nil || next.Type == token.CollectEntryType || next.Type == token.MappingEndType {
			g.noValue(tk)
		}
		return
	}
	if g.colons++; g.colons > 1 {
		g.end(tk, "a second colon stands in this line", "put text that holds a colon in quotes, and each key on a line of its own")
		return
	}
	column := g.first.Position.Column
	if g.last != nil && g.last.Position.Line == g.line {
		column = g.last.Position.Column
	}
	if g.keys[column]++; g.keys[column] > maxKeys {
		g.end(tk, fmt.Sprintf("more than %d keys stand in one mapping", maxKeys), "write ducts and ports as lists: a row with - for each")
	}
	if next == nil || next.Position.Line > g.line && next.Position.Column <= column && next.Type != token.SequenceEntryType {
		g.noValue(tk)
	}
}

func (g *watch) dash(tk, next *token.Token) {
	if len(g.flow) > 0 {
		return
	}
	g.dashes++
	g.tooDeep(tk)
	if next == nil || next.Position.Line > tk.Position.Line && next.Position.Column <= tk.Position.Column {
		g.noValue(tk)
	}
}

// inFlowMap counts an entry {a, …} that has no colon.
func (g *watch) inFlowMap(tk *token.Token) {
	n := len(g.flow)
	if n == 0 || g.flow[n-1] != token.MappingStartType || g.last == nil {
		return
	}
	if before := g.last.Prev; before != nil && (before.Type == token.CollectEntryType || before.Type == token.MappingStartType) {
		g.noValue(tk)
	}
}

func (g *watch) noValue(tk *token.Token) {
	if g.empty++; g.empty > maxEmpty {
		g.end(tk, fmt.Sprintf("more than %d keys or rows have no value", maxEmpty), "fill them in or leave them out")
	}
}
