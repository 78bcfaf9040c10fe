package main

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/onepage"
)

func newPage(s console.Streams) *cobra.Command {
	var o command.Output
	var source string
	cmd := &cobra.Command{
		Use:   "page -o bench.html",
		Short: "Make the bench page as one file, which needs no program and no network",
		Long: `Make the bench page as one file that holds everything: it opens from a disk, a stick
or any plain web host, in a browser of 2023 or later, and nothing leaves the device.
Files are opened and saved by the browser, which also keeps them between visits
where it is allowed to; the page says whether it is.

It is made from a checkout of the source, by Go, which builds the engine for it.`,
		Example: "  go run ./cmd/lostair page -o bench.html",
		Args:    command.Takes(0, 0, "no argument"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if o.File == "" || o.File == "-" {
				return command.Misuse(cmd, errors.New("it is a file of some megabytes: say where it goes, with -o bench.html"))
			}
			if err := o.Check(cmd); err != nil {
				return err
			}
			demo, err := demoOnPage()
			if err != nil {
				return err
			}
			fmt.Fprintln(s.Err, "Building the engine; the first time takes a minute or two.")
			page, engine, err := onepage.Make(cmd.Context(), source, demo)
			if err != nil {
				return err
			}
			if err := o.Write(s, func(w io.Writer) error {
				_, err := w.Write(page)
				return err
			}); err != nil {
				return err
			}
			_, err = fmt.Fprintf(s.Out, "%s: %.1f MB, of which %.1f MB are the engine (packed).\n", o.File, float64(len(page))/1e6, float64(engine)/1e6)
			return err
		},
	}
	o.FileFlags(cmd)
	cmd.Flags().StringVar(&source, "source", ".", "`FOLDER` with the source")
	return cmd
}
