package main

import (
	"cmp"
	"encoding/base64"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/bench"
	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/store"
	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/disk"
	"lostair/cmd/internal/door"
	"lostair/readings/units"
)

type serveFlags struct {
	port      int
	noBrowser bool
	lan       bool
	work      time.Duration
}

func newServe(s console.Streams) *cobra.Command {
	var f serveFlags
	cmd := &cobra.Command{
		Use:   "serve [FOLDER]",
		Short: "Do the whole job in a browser: describe the shop, read, see the answer",
		Long: `Serve the bench page for a folder that holds system.yaml and the surveys (left out:
this one; it may be empty, and the page begins the file). The first line printed
is the page's address with its key, and it opens in the browser; anyone who has not
opened that address gets nothing. What the page changes is in the plain files
that the other commands read. Ctrl-C ends it, and loses nothing.

Without --port the port and the key of the folder's last time are used again, so
that what a browser kept stays usable. --lan lets phones in the same network
in, each by a QR code that works once; that way is not encrypted, so use it only
in a network that you trust.`,
		Example: "  lostair serve my-shop\n  lostair serve my-shop --lan\n  lostair serve --port 0 --no-browser",
		Args:    command.Takes(0, 1, "one folder at most"),
		RunE: func(cmd *cobra.Command, args []string) error {
			folder := "."
			if len(args) > 0 {
				folder = args[0]
			}
			if f.port < 0 || f.port > 65535 {
				return command.Misuse(cmd, fmt.Errorf("--port %d is out of range; give 1 to 65535, or 0 for any that is free", f.port))
			}
			if f.work < time.Second || f.work > workMost {
				return command.Misuse(cmd, fmt.Errorf("--timeout %s is out of range; give a time from 1s to 1h", f.work))
			}
			return f.run(cmd, s, folder)
		},
	}
	cmd.Flags().IntVar(&f.port, "port", 0, "listen on this port; 0: on any that is free; left out: on that of the last time")
	cmd.Flags().BoolVar(&f.noBrowser, "no-browser", false, "do not open the browser")
	cmd.Flags().BoolVar(&f.lan, "lan", false, "let phones in the same network in, by a QR code")
	cmd.Flags().DurationVar(&f.work, "timeout", desk.Patience, "give up an answer whose work takes longer than this; the files stay as they are")
	return cmd
}

// workMost is how long the work on an answer may be given.
const workMost = time.Hour

func (f *serveFlags) run(cmd *cobra.Command, s console.Streams, folder string) error {
	info, err := os.Stat(folder)
	switch {
	case err != nil:
		return fmt.Errorf("%s: %w; make the folder first, or give another", folder, disk.Bare(err))
	case !info.IsDir():
		return fmt.Errorf("%s is a file; give the folder that holds it", folder)
	}
	path, err := filepath.Abs(folder)
	if err != nil {
		return err
	}
	files, err := store.OpenFolder(path)
	if err != nil {
		return fmt.Errorf("%s can't be opened: %w", folder, disk.Bare(err))
	}
	defer files.Close()
	disk.Hold(files.Hold)
	demo, err := demoOnPage()
	if err != nil {
		return err
	}
	d, err := f.listen(path, cmd.Flags().Changed("port"))
	if err != nil {
		return err
	}
	defer d.Close()
	d.Work = f.work
	if _, err := fmt.Fprintln(s.Out, d.Link()); err != nil {
		return err
	}
	o := bench.Options{Files: files, Where: path, Demo: demo, Now: s.Clock(), Work: f.work}
	if f.lan {
		o.Phone = phoneDoor(d)
		if err := f.tellPhones(s, d); err != nil {
			return err
		}
	}
	fmt.Fprintf(s.Err, "The bench page for %s is open at that address. Ctrl-C ends it.\n", path)
	if !f.noBrowser {
		door.OpenBrowser(d.Link())
	}
	if err := d.Serve(cmd.Context(), bench.New(o)); err != nil {
		return err
	}
	fmt.Fprintln(s.Err, "Stopped. All that was saved is in the files.")
	return nil
}

// listen opens the port that is asked for, or that of the last time.
func (f *serveFlags) listen(folder string, asked bool) (*door.Door, error) {
	settings, noSettings := os.UserConfigDir()
	kept := door.Kept{}
	if noSettings == nil && !asked {
		kept = door.Recall(settings, folder)
	}
	var others []string
	if f.lan {
		if others = door.Addresses(); len(others) == 0 {
			return nil, errors.New("this computer is in no network that a phone could share; leave --lan out")
		}
	}
	want := cmp.Or(kept.Port, strconv.Itoa(f.port))
	d, err := door.Open(want, cmp.Or(kept.Key, door.NewKey()), others...)
	if err != nil && kept.Port != "" { // somebody else has it by now
		d, err = door.Open("0", kept.Key, others...)
	}
	if err != nil {
		return nil, fmt.Errorf("port %s can't be listened on: %w; give another --port, or leave it out", want, err)
	}
	if noSettings == nil && !asked {
		// What can't be kept is made anew the next time: that is no reason not to serve.
		_ = door.Keep(settings, door.Kept{Folder: folder, Port: d.Port, Key: d.Key})
	}
	return d, nil
}

// tellPhones draws a code for each network that this computer is in.
func (f *serveFlags) tellPhones(s console.Streams, d *door.Door) error {
	for _, host := range door.Addresses() {
		link := d.Invite(host)
		fmt.Fprintf(s.Out, "\nFor a phone in the same network, once, within ten minutes:\n%s\n", link)
		if err := door.DrawQR(s.Out, link); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintln(s.Out, "Another phone: the page's start has “Bring a phone”. Nothing on this way is encrypted.")
	return err
}

// phoneDoor makes links that let a phone in, as pictures.
func phoneDoor(d *door.Door) func() (link, picture string) {
	return func() (string, string) {
		hosts := door.Addresses()
		if len(hosts) == 0 {
			return "", ""
		}
		link := d.Invite(hosts[0])
		picture, err := door.PictureQR(link)
		if err != nil {
			return link, ""
		}
		return link, "data:image/png;base64," + base64.StdEncoding.EncodeToString(picture)
	}
}

// demoOnPage are the demo shop's files.
func demoOnPage() ([]store.File, error) {
	files, err := demoFiles(units.Metric)
	if err != nil {
		return nil, err
	}
	var out []store.File
	for _, f := range files {
		out = append(out, store.File{Name: filepath.ToSlash(f.Name), Data: f.Data})
	}
	return out, nil
}
