package edit

import (
	"errors"
	"fmt"
	"strings"
)

// ErrShape says that a change can't be made in the way the file is written.
var ErrShape = errors.New("the file is written in a way that can't be changed here; change it with a text editor")

// Apply makes changes one after the other and gives the new file; this one stays
// as it is. It fails, and changes nothing, if what comes out would not say what
// was asked for.
func (f *File) Apply(changes ...Change) (*File, error) {
	for _, c := range changes {
		g, err := f.apply(c)
		if err != nil {
			return nil, err
		}
		f = g
	}
	return f, nil
}

func (f *File) apply(c Change) (*File, error) {
	var fresh Value
	if !c.Delete {
		if strings.ContainsAny(c.Text, "\n\r") {
			return nil, fmt.Errorf("edit: a value of more than one line")
		}
		probe, err := Open([]byte("x: "+c.Text+"\n"), f.name)
		if err != nil {
			return nil, err
		}
		fresh = probe.Root.Get("x")
	}
	want, ok := c.on(f.Root, fresh)
	if !ok {
		return nil, ErrShape
	}
	text, ok := f.spliced(c)
	if !ok {
		return nil, ErrShape
	}
	g, err := Open([]byte(text), f.name)
	if err != nil || !g.Root.equal(want) {
		return nil, ErrShape
	}
	g.mark, g.carriages = f.mark, f.carriages
	return g, nil
}
