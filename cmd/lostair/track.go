package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/disk"
	"lostair/cmd/internal/subjects"
	"lostair/diagnose/repair"
	"lostair/diagnose/track"
	"lostair/readings/problem"
	"lostair/readings/repairs"
	"lostair/readings/units"
	"lostair/report/tracked"
)

type trackFlags struct {
	command.Output
	baselines      []string
	reference      int
	before, after  string
	sealed, mended string
	units          string
	plain          bool
	failOnFault    bool
}

func newTrack(s console.Streams) *cobra.Command {
	var f trackFlags
	cmd := &cobra.Command{
		Use:   "track SYSTEM READINGS|FOLDER...",
		Short: "Follow a system over its surveys; compare before and after a repair",
		Long: `Follow a system over its surveys: dated readings files, or folders of them, in
any order. Each is held against the first ones, which stand for the sound system;
what drifts goes on control charts that say when it began and when it will
matter. The surveys are never changed.

With --before and --after two surveys are compared: whether a repair improved
something, by how much, what each port gained, and with --sealed or --mended
whether what was done there was what helped. Earlier surveys of the sound system
sharpen it (--baseline). A log of repairs beside the surveys (repairs.csv, with the
columns date, kind, where, action, note) is read too.

Exit status: 0 done, 2 bad input or usage, 1 only with --fail-on-fault when
something has left its limits or the newest survey shows a fault.`,
		Example: "  lostair track system.yaml surveys/\n  lostair track system.yaml surveys/ --format html -o history.html\n  lostair track system.yaml --before may.csv --after june.csv --sealed main\n  lostair track system.yaml --before may.csv --after june.csv --mended saw",
		Args:    command.Takes(1, -1, "a system file and readings files or folders"),
		RunE:    func(cmd *cobra.Command, args []string) error { return f.run(cmd, s, args[0], args[1:]) },
	}
	f.Flags(cmd, "text", "html", "json", "csv")
	command.DatesFlag(cmd, &s)
	cmd.Flags().StringArrayVar(&f.baselines, "baseline", nil, "readings of the sound system, in place of the first surveys; may be given again")
	cmd.Flags().IntVar(&f.reference, "reference", 0, "how many of the first surveys stand for the sound system; left out: a quarter, 1 to 8")
	cmd.Flags().StringVar(&f.before, "before", "", "survey before a repair")
	cmd.Flags().StringVar(&f.after, "after", "", "survey after it")
	cmd.Flags().StringVar(&f.sealed, "sealed", "", "duct, or bin, at which a leak was sealed")
	cmd.Flags().StringVar(&f.mended, "mended", "", "where anything else was done: a gate opened or cleared, a duct or port cleared, filter, fan")
	cmd.Flags().BoolVar(&f.failOnFault, "fail-on-fault", false, "exit with status 1 if something has left its limits or the newest survey shows a fault")
	command.UnitsFlag(cmd, &f.units)
	command.PlainFlag(cmd, &f.plain)
	command.TimeoutFlag(s, cmd)
	return cmd
}

func (f *trackFlags) run(cmd *cobra.Command, s console.Streams, system string, args []string) error {
	repair := f.before != "" || f.after != "" || f.sealed != "" || f.mended != ""
	switch {
	case repair && (f.before == "" || f.after == ""):
		return command.Misuse(cmd, errors.New("--before and --after belong together"))
	case repair && len(args) > 0:
		return command.Misuse(cmd, errors.New("--before and --after compare two surveys; give those of the sound system with --baseline, and leave the others out"))
	case f.sealed != "" && f.mended != "":
		return command.Misuse(cmd, errors.New("--sealed and --mended name one place: use one of them"))
	case !repair && len(args) == 0:
		return command.Misuse(cmd, errors.New("it needs readings files or a folder of them, or --before and --after"))
	}
	if f.reference < 0 {
		return command.Misuse(cmd, errors.New("--reference is a number of surveys, 1 or more"))
	}
	files, err := surveyFiles(args)
	if err != nil {
		return err
	}
	if repair {
		files = []string{f.before, f.after}
	}
	inputs := append(append([]string{system}, files...), f.baselines...)
	if err := f.Check(cmd, inputs...); err != nil {
		return err
	}
	if err := command.StdinOnce(cmd, inputs); err != nil {
		return err
	}
	l, err := command.Load(s, system, files, f.baselines)
	if err != nil {
		return err
	}
	u, err := command.UnitsOf(f.units, l.Sys.Units)
	if err != nil {
		return command.Misuse(cmd, err)
	}
	if repair {
		return f.compare(cmd, s, l, u)
	}
	return f.follow(cmd, s, l, u)
}

func (f *trackFlags) follow(cmd *cobra.Command, s console.Streams, l *command.Loaded, u units.System) error {
	repairs, err := repairsBeside(l)
	if err != nil {
		return err
	}
	ctx := cmd.Context()
	t, err := command.InTime(ctx, func() (*track.History, error) {
		return track.Follow(ctx, l.Sys, l.Surveys, track.Options{Baselines: l.Baselines, Reference: f.reference, Repairs: repairs})
	})
	if t == nil {
		return err
	}
	r := tracked.From(t, u)
	err = f.End(s, err, func(w io.Writer) error {
		if f.Format == "csv" {
			return tracked.CSV(w, r)
		}
		return subjects.Followed.Show(w, t, subjects.View{Format: f.Format, Units: u, Style: f.Style(s, f.plain)})
	})
	if err == nil && f.failOnFault && !r.Calm() {
		return console.ErrFaults
	}
	return err
}

func (f *trackFlags) compare(cmd *cobra.Command, s console.Streams, l *command.Loaded, u units.System) error {
	if f.Format == "csv" {
		return command.Misuse(cmd, errors.New("a repair is shown as text, html or json"))
	}
	ctx := cmd.Context()
	x, err := command.InTime(ctx, func() (*repair.Repair, error) {
		return repair.Compare(ctx, l.Sys, l.Surveys[0], l.Surveys[1],
			repair.Options{Baselines: l.Baselines, Place: cmp.Or(f.sealed, f.mended), Leak: f.sealed != ""})
	})
	if err != nil {
		return err
	}
	return f.Write(s, func(w io.Writer) error {
		return subjects.Compared.Show(w, x, subjects.View{Format: f.Format, Units: u, Style: f.Style(s, f.plain)})
	})
}

// surveyFiles are the readings files that are meant: a folder means every CSV
// in it, by name.
func surveyFiles(args []string) ([]string, error) {
	var out []string
	for _, a := range args {
		info, err := os.Stat(a)
		if a == "-" || err != nil || !info.IsDir() {
			out = append(out, a) // what is wrong with it is told when it is read
			continue
		}
		list, err := os.ReadDir(a)
		if err != nil {
			return nil, fmt.Errorf("%s can't be read: %w", a, disk.Bare(err))
		}
		n := len(out)
		for _, e := range list {
			if e.Type()&fs.ModeDir == 0 && isSurvey(e.Name()) && !strings.EqualFold(e.Name(), repairs.File) {
				out = append(out, filepath.Join(a, e.Name()))
			}
		}
		if len(out) == n {
			return nil, fmt.Errorf("there is no CSV file or workbook in the folder %s", a)
		}
		sort.Strings(out[n:])
	}
	return out, nil
}

// isSurvey is whether a file of a folder may be a survey, by its name. What a program
// that has a workbook open keeps beside it is none.
func isSurvey(name string) bool {
	ext := strings.ToLower(filepath.Ext(name))
	return ext == ".csv" || ext == ".xlsx" && !strings.HasPrefix(name, "~$")
}

// repairsBeside is what the logs of repairs beside the surveys hold.
func repairsBeside(l *command.Loaded) ([]repairs.Repair, error) {
	var out []repairs.Repair
	var bad problem.List
	for _, path := range repairs.Beside(l.Surveys) {
		log, more := repairs.Load(path)
		out, bad = append(out, log...), append(bad, more...)
	}
	return out, bad.Err()
}
