// Mutate changes one operator or one number of a package at a time and runs the
// package's tests: what no test notices survives, and is listed.
//
//	go run ./.ci/mutate -every 1 airflow units
//	go run ./.ci/mutate -every 20 -from 3
//
// Names are those of the targets below; without any, all of them. Those that
// .ci/mutate/survivors.txt explains don't count; it ends with status 1 if fewer than
// nine in ten of the others died. Run it from the repository's root.
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// target is files and the tests that are to hold them.
type target struct {
	name  string
	files []string // patterns; tests are left out
	args  []string // of go test
}

var targets = []target{
	{"airflow", []string{"diagnose/airflow/*.go", "diagnose/handbook/*.go", "diagnose/route/*.go"}, []string{"./diagnose/airflow", "./diagnose/handbook", "./diagnose/route"}},
	{"units", []string{"readings/units/*.go"}, []string{"./readings/units"}},
	{"fit", []string{"diagnose/internal/fit/*.go", "diagnose/internal/numeric/nearby.go"}, []string{"./diagnose/internal/fit", "./diagnose/internal/numeric", "./diagnose/internal/weigh", "./diagnose/internal/search"}},
	{"posterior", []string{"diagnose/internal/weigh/posterior.go"}, []string{"./diagnose/internal/weigh", "./diagnose/internal/fit"}},
	{"fixes", []string{"diagnose/fixes.go", "diagnose/order.go"}, []string{"./diagnose", "-run", "Fix|Order|Gain|Undersized|Verdict|Wider|Slower"}},
	{"verify", []string{"diagnose/verify/*.go"}, []string{"./diagnose/verify"}},
	{"track", []string{"diagnose/track/*.go", "diagnose/internal/indicator/*.go", "diagnose/internal/story/*.go"}, []string{"./diagnose/track", "./diagnose/internal/indicator", "./diagnose/internal/story"}},
}

// leave are files without computation, or whose numbers the table of sources holds.
var leave = []string{"doc.go", "facts.go"}

const enough = 0.9 // share of the mutants that must die

func main() {
	every := flag.Int("every", 1, "take one mutant in this many of each file")
	from := flag.Int("from", 0, "beginning with this one")
	limit := flag.Duration("limit", 2*time.Minute, "time for the tests of one mutant; longer counts as died")
	flag.Parse()
	explained, err := readExplained(".ci/mutate/survivors.txt")
	check(err)
	var all tally
	for _, t := range targets {
		if flag.NArg() > 0 && !slices.Contains(flag.Args(), t.name) {
			continue
		}
		one := run(t, *every, *from, *limit, explained)
		fmt.Printf("== %s: %s\n", t.name, one)
		all.add(one)
	}
	fmt.Printf("== all: %s\n", all)
	if all.score() < enough {
		os.Exit(1)
	}
}

func run(t target, every, from int, limit time.Duration, explained map[string]string) tally {
	var out tally
	for _, pattern := range t.files {
		names, err := filepath.Glob(pattern)
		check(err)
		for _, name := range names {
			if base := filepath.Base(name); slices.Contains(leave, base) || isTest(base) {
				continue
			}
			list, err := mutantsOf(name)
			check(err)
			for i := from; i < len(list); i += every {
				m := list[i]
				r := m.try(t.args, limit)
				why := explained[m.key()]
				out.count(r, why)
				if (out.died+out.late+out.unexplained+out.explained)%10 == 0 {
					fmt.Fprintf(os.Stderr, "%s so far: %s\n", t.name, out)
				}
				if r == lived {
					fmt.Printf("%s\n\t%s\t%s\n", m, m.key(), why)
				}
			}
		}
	}
	return out
}
