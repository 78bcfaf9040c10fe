package main

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
)

func newVersion(s console.Streams) *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Say which version this is",
		Args:  command.Takes(0, 0, "no arguments"),
		RunE: func(*cobra.Command, []string) error {
			_, err := fmt.Fprintln(s.Out, "lostair", versionText())
			return err
		},
	}
}

// versionText is what the Go toolchain stamped into the program: a release, or
// the commit it was built from.
func versionText() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "of unknown version"
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return v
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" {
			return "built from " + s.Value
		}
	}
	return "built from source"
}
