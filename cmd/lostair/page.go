package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/console"
	"lostair/cmd/internal/disk"
	"lostair/cmd/internal/onepage"
)

func newPage(s console.Streams) *cobra.Command {
	var o output
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
		Args:    takes(0, 0, "no argument"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if o.file == "" || o.file == "-" {
				return usageError{cmd, errors.New("it is a file of some megabytes: say where it goes, with -o bench.html")}
			}
			if err := o.check(cmd); err != nil {
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
			if err := disk.WriteWhole(o.file, page, o.force); err != nil {
				return err
			}
			_, err = fmt.Fprintf(s.Out, "%s: %.1f MB, of which %.1f MB are the engine (packed).\n", o.file, float64(len(page))/1e6, float64(engine)/1e6)
			return err
		},
	}
	o.formats = []string{""}
	cmd.Flags().StringVarP(&o.file, "output", "o", "", "write it to this file")
	cmd.Flags().BoolVar(&o.force, "force", false, "replace the output file if it exists")
	cmd.Flags().StringVar(&source, "source", ".", "`FOLDER` with the source")
	return cmd
}
