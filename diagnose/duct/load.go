package duct

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"sort"

	"lostair/readings/problem"
)

// LoadFile loads the system file at path. See Load.
func LoadFile(path string) (*System, problem.List) {
	f, err := os.Open(path)
	if err != nil {
		return nil, problem.List{{File: path, What: cause(err), Do: "check the name and that you may read it"}}
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxBytes+1))
	if err != nil {
		return nil, problem.List{{File: path, What: cause(err), Do: "check the name and that you may read it"}}
	}
	return Load(data, path)
}

// cause is err without the path, which the problem names already.
func cause(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return "can't be read: " + pe.Err.Error()
	}
	return "can't be read: " + err.Error()
}

// Load reads a system file and checks it whole. File is its name as the user
// gave it, for the problems, which are in file order. The System is nil if any
// of them is more than a warning.
func Load(data []byte, file string) (*System, problem.List) {
	root, out := parse(data, file)
	if out != nil {
		return nil, out
	}
	r := &reader{file: file}
	s, sh, n := r.decode(root)
	if s != nil {
		r.resolve(s, sh, n)
		r.out = append(r.out, s.check(sh)...)
	}
	out = r.out
	out.Sort()
	if out.Err() != nil {
		return nil, short(out)
	}
	if s == nil { // a lone null
		return nil, nothing(file)
	}
	return s, short(out)
}

// short bounds what is reported of a file that is wrong all over. Errors are kept
// before warnings.
func short(l problem.List) problem.List {
	const most = 1000
	if len(l) <= most {
		return l
	}
	errors := len(l.Errors())
	room := max(most-errors, 0) // for warnings
	var out problem.List
	rest := problem.Problem{File: l[0].File, What: fmt.Sprintf("%d more problems", len(l)-most), Do: "put right those above first", Warning: errors <= most}
	for _, p := range l {
		if p.Warning {
			if room--; room < 0 {
				continue
			}
		}
		if len(out) < most {
			out = append(out, p)
		}
	}
	return append(out, rest)
}

// Finish makes a System that was built in Go ready for use: it fills in what
// follows from the rest (Children, Port, Order, the order of the collector's
// parts, standard air) and makes the checks that a file would meet. A problem
// has a line only where the System's parts have a Pos. Call it again after
// changing ids or the way ducts hang together.
func (s *System) Finish() problem.List {
	if s.Air.Standard {
		s.Air = standardAir()
	}
	out := s.check(blankSheet(s))
	out.Sort()
	return out
}

// check makes all checks and fills in what follows.
func (s *System) check(sh *sheet) problem.List {
	c := &checker{s: s, sh: sh}
	s.ownNeeds()
	c.sizes()
	c.parts()
	c.ids()
	c.tree()
	c.settings()
	s.sortTaps()
	s.index = newIndex(s)
	c.gross()
	if c.out.Err() == nil {
		s.shareNeeds()
	}
	return c.out
}

// Unpacked makes a System ready for use that package kept has filled.
func (s *System) Unpacked() error { return s.Finish().Err() }

func (s *System) sortTaps() {
	for i := range s.Ducts {
		t := s.Ducts[i].Taps
		sort.SliceStable(t, func(a, b int) bool { return t[a].Distance < t[b].Distance })
	}
}
