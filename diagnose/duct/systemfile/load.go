package systemfile

import (
	"fmt"
	"io"
	"os"

	"lostair/diagnose/duct"
	"lostair/readings/problem"
)

// LoadFile loads the system file at path. See Load.
func LoadFile(path string) (*duct.System, problem.List) {
	f, err := os.Open(path)
	if err != nil {
		return nil, problem.List{{File: path, What: "can't be read: " + problem.Cause(err), Do: "check the name and that you may read it"}}
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxBytes+1))
	if err != nil {
		return nil, problem.List{{File: path, What: "can't be read: " + problem.Cause(err), Do: "check the name and that you may read it"}}
	}
	return Load(data, path)
}

// Load reads a system file and checks it whole. File is its name as the user
// gave it, for the problems, which are in file order. The System is nil if any
// of them is more than a warning.
func Load(data []byte, file string) (*duct.System, problem.List) {
	root, out := parse(data, file)
	if out != nil {
		return nil, out
	}
	r := &reader{file: file}
	s, sh, n := r.decode(root)
	if s != nil {
		r.resolve(s, sh, n)
		r.out = append(r.out, s.FinishRead(sh)...)
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
