package edit

import (
	"lostair/diagnose/duct/systemfile"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// spliced is the text with a change made.
func (f *File) spliced(c Change) (string, bool) {
	n, flow, colon := f.node, false, 0
	for i, s := range c.Path {
		last := i == len(c.Path)-1
		if s.Key == "" {
			seq, ok := n.(*ast.SequenceNode)
			if !ok {
				return "", false
			}
			if last {
				return f.spliceRow(seq, s.Row, flow || seqFlow(seq), colon, c)
			}
			n, flow = seq.Values[s.Row], flow || seqFlow(seq)
			continue
		}
		rows, inner, ok := mapping(n)
		if !ok {
			return "", false
		}
		flow = flow || inner
		var kv *ast.MappingValueNode
		for _, x := range rows {
			if textOf(x.Key) == s.Key {
				kv = x
				break
			}
		}
		if last {
			return f.spliceKey(n, rows, kv, s.Key, flow, c)
		}
		if kv == nil {
			return "", false
		}
		if _, null := kv.Value.(*ast.NullNode); null && c.Insert && i == len(c.Path)-2 {
			return f.firstRow(kv, c.Text)
		}
		if _, behind, ok := f.keySpan(kv); ok {
			colon = behind
		}
		n = kv.Value
	}
	return "", false
}

func mapping(n ast.Node) (rows []*ast.MappingValueNode, flow, ok bool) {
	switch x := n.(type) {
	case *ast.MappingNode:
		return x.Values, x.IsFlowStyle, true
	case *ast.MappingValueNode:
		return []*ast.MappingValueNode{x}, false, true
	}
	return nil, false, false
}

func (f *File) cut(from, to int, with string) string { return f.text[:from] + with + f.text[to:] }

// spliceKey sets or deletes a key of a mapping.
func (f *File) spliceKey(n ast.Node, rows []*ast.MappingValueNode, kv *ast.MappingValueNode, key string, flow bool, c Change) (string, bool) {
	if kv == nil {
		return f.newKey(n, rows, Scalar(key)+": "+c.Text, flow)
	}
	from, colon, ok := f.keySpan(kv)
	if !ok {
		return "", false
	}
	end, ok := f.end(kv.Value, colon, flow)
	if !ok {
		return "", false
	}
	if !c.Delete {
		return f.cut(colon, end, " "+c.Text), true
	}
	if flow {
		return f.cutItem(from, end), true
	}
	start := f.lineStart(from)
	if strings.TrimSpace(f.text[start:from]) != "" { // behind a dash
		return "", false
	}
	return f.cut(start, min(f.lineEnd(end)+1, len(f.text)), ""), true
}

// newKey adds a key behind the last one.
func (f *File) newKey(n ast.Node, rows []*ast.MappingValueNode, text string, flow bool) (string, bool) {
	if len(rows) == 0 {
		i, ok := f.offset(systemfile.At(n))
		if !ok || i >= len(f.text) || f.text[i] != '{' {
			return "", false
		}
		return f.cut(i+1, i+1, text), true
	}
	last := rows[len(rows)-1]
	_, colon, ok := f.keySpan(last)
	if !ok {
		return "", false
	}
	end, ok := f.end(last.Value, colon, flow)
	if !ok {
		return "", false
	}
	if flow {
		if rest := strings.TrimLeft(f.text[end:], " \n"); strings.HasPrefix(rest, ",") {
			end = len(f.text) - len(rest) + 1
			return f.cut(end, end, " "+text), true
		}
		return f.cut(end, end, ", "+text), true
	}
	indent := strings.Repeat(" ", systemfile.At(rows[0].Key).Column-1)
	return f.newLine(end, indent+text), true
}

// newLine writes a line below the one that i stands in.
func (f *File) newLine(i int, line string) string {
	end := f.lineEnd(i)
	return f.cut(end, end, "\n"+line)
}

// spliceRow sets, deletes or inserts a row of a list; colon is the place behind
// the colon of the list's key.
func (f *File) spliceRow(seq *ast.SequenceNode, row int, flow bool, colon int, c Change) (string, bool) {
	if len(seq.Values) == 0 {
		return f.onlyRow(seq, flow, c)
	}
	at := min(row, len(seq.Values)-1)
	from, ok := f.offset(systemfile.At(seq.Values[at]))
	if !ok {
		return "", false
	}
	end, ok := f.end(seq.Values[at], from, flow)
	if !ok {
		return "", false
	}
	if flow {
		return f.spliceItem(from, end, row >= len(seq.Values), c), true
	}
	start := f.lineStart(from)
	dash := strings.LastIndexByte(f.text[start:from], '-')
	if dash < 0 || strings.TrimSpace(f.text[start:start+dash]) != "" {
		return "", false
	}
	line := f.text[start:start+dash] + "- " + c.Text
	switch {
	case c.Delete:
		whole := f.cut(start, min(f.lineEnd(end)+1, len(f.text)), "")
		if len(seq.Values) == 1 { // an empty list has to be written
			whole = whole[:colon] + " []" + whole[colon:]
		}
		return whole, true
	case !c.Insert:
		return f.cut(from, end, c.Text), true
	case row >= len(seq.Values):
		return f.newLine(end, line), true
	}
	return f.cut(start, start, line+"\n"), true
}

// spliceItem is spliceRow within brackets.
func (f *File) spliceItem(from, end int, last bool, c Change) string {
	switch {
	case c.Delete:
		return f.cutItem(from, end)
	case !c.Insert:
		return f.cut(from, end, c.Text)
	case last:
		return f.cut(end, end, ", "+c.Text)
	}
	return f.cut(from, from, c.Text+", ")
}

// onlyRow puts a row into a list that is written [].
func (f *File) onlyRow(seq *ast.SequenceNode, flow bool, c Change) (string, bool) {
	from, ok := f.offset(systemfile.At(seq))
	if !ok || !c.Insert || f.text[from] != '[' {
		return "", false
	}
	end, ok := f.brackets(from)
	if !ok {
		return "", false
	}
	start := f.lineStart(from)
	before := strings.TrimLeft(f.text[start:from], " ")
	if flow || strings.HasPrefix(before, "-") {
		return f.cut(from, end, "["+c.Text+"]"), true
	}
	indent := strings.Repeat(" ", from-start-len(before)+2)
	line := f.lineEnd(end)
	return strings.TrimRight(f.text[:from], " ") + f.text[end:line] + "\n" + indent + "- " + c.Text + f.text[line:], true
}

// firstRow begins the list of a key that has nothing yet.
func (f *File) firstRow(kv *ast.MappingValueNode, text string) (string, bool) {
	from, colon, ok := f.keySpan(kv)
	if !ok {
		return "", false
	}
	indent := strings.Repeat(" ", from-f.lineStart(from)+2)
	return f.newLine(colon, indent+"- "+text), true
}

// cutItem takes an item out of a flow collection, with one comma beside it.
func (f *File) cutItem(from, end int) string {
	rest := strings.TrimLeft(f.text[end:], " \n")
	if strings.HasPrefix(rest, ",") {
		return f.text[:from] + strings.TrimLeft(rest[1:], " ")
	}
	before := strings.TrimRight(f.text[:from], " \n")
	return strings.TrimSuffix(before, ",") + f.text[end:]
}

// seqFlow says whether the rows of a list stand within brackets; [] may become
// a list of lines.
func seqFlow(seq *ast.SequenceNode) bool { return seq.IsFlowStyle && len(seq.Values) > 0 }
