package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"
	"unsafe"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
)

// terminal opens a pseudo-terminal of so many columns: what a person sees of it, and
// what a program is given.
func terminal(t *testing.T, columns uint16) (person, program *os.File) {
	t.Helper()
	person, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skip("no pseudo-terminal here: ", err)
	}
	t.Cleanup(func() { person.Close() })
	call := func(request uintptr, of unsafe.Pointer) {
		t.Helper()
		_, _, errno := syscall.Syscall(syscall.SYS_IOCTL, person.Fd(), request, uintptr(of))
		require.Zero(t, errno)
	}
	var lock, number int32
	call(syscall.TIOCSPTLCK, unsafe.Pointer(&lock))
	call(syscall.TIOCGPTN, unsafe.Pointer(&number))
	size := [4]uint16{6, columns}
	call(syscall.TIOCSWINSZ, unsafe.Pointer(&size))
	program, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|syscall.O_NOCTTY, 0)
	require.NoError(t, err)
	return person, program
}

// onTerminal runs the program on a terminal of its own. typed comes once something
// was said.
func onTerminal(t *testing.T, path, line, typed string) (status int, said string, took time.Duration) {
	t.Helper()
	person, tty := terminal(t, 20)
	ctx, stop := context.WithTimeout(t.Context(), time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, path, strings.Fields(line)...)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = tty, tty, tty
	cmd.Env = append(os.Environ(), "TERM=xterm", "XDG_CONFIG_HOME="+t.TempDir())
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	require.NoError(t, cmd.Start())
	tty.Close()
	var out bytes.Buffer
	read := make(chan struct{})
	begun := make(chan struct{})
	go func() {
		defer close(read)
		some := make([]byte, 1<<16)
		for first := true; ; first = false {
			n, err := person.Read(some)
			if first {
				close(begun)
			}
			out.Write(some[:n])
			if err != nil { // nobody has the terminal open any more
				return
			}
		}
	}()
	select {
	case <-begun:
		time.Sleep(100 * time.Millisecond)
	case <-time.After(500 * time.Millisecond): // it asks for nothing, and waits
	}
	at := time.Now()
	if typed != "" {
		_, err := io.WriteString(person, typed)
		require.NoError(t, err)
	}
	_ = cmd.Wait()
	took = time.Since(at)
	<-read
	return cmd.ProcessState.ExitCode(), out.String(), took
}

// A terminal of 20 columns: every command says what it has to, and Ctrl-C ends those
// that wait for somebody.
func TestEveryCommandOnASmallTerminal(t *testing.T) {
	program := built(t)
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "new", ".").status)
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "plan", "system.yaml", "--count", "2", "--format", "json", "-o", "result.json").status)
	given := snapshot(t)
	for _, c := range []struct {
		line, typed string
		status      int
		says        string
	}{
		{"check system.yaml readings.csv", "", console.Done, "good, My shop"},
		{"expect system.yaml", "", console.Done, "collector-inlet"},
		{"plan system.yaml", "", console.Done, "S1"},
		{"diagnose system.yaml readings.csv", "", console.Done, "Nothing is broken"},
		{"diagnose system.yaml -", "open,point,quantity,value\nsaw,S1,suction,\n\x04", console.NotDone, "value"},
		{"verify system.yaml readings.csv", "", console.Done, "saw"},
		{"whatif system.yaml --set filter=2x", "", console.Done, "saw"},
		{"track system.yaml readings.csv readings.csv", "", console.Done, "2"},
		{"show result.json", "", console.Done, "A round of 2 readings"},
		{"sheet system.yaml -o sheet.html", "", console.Done, ""},
		{"sources", "", console.Done, "ISO"},
		{"schema system", "", console.Done, "{"},
		{"formats", "", console.Done, "static_pressure"},
		{"version", "", console.Done, "lostair"},
		{"help track", "", console.Done, "track"},
		{"new made", "", console.Done, "made/system.yaml"},
		{"demo shown --ports 2", "", console.Done, "shown/system.yaml"},
		{"page -o page.html", "", console.NotDone, "no checkout"},
		{"nonsense", "", console.NotDone, "there is no command"},
		{"round system.yaml r.csv --weak saw --date 2026-03-02", "?\nquit\n", console.Done, "r.csv"},
		{"round system.yaml r.csv --weak saw --date 2026-03-02", "\x04", console.Done, "r.csv"}, // the end of what is typed
		{"round system.yaml r.csv --weak saw --date 2026-03-02", "\x03", console.Stopped, "the same command goes on"},
		{"serve . --port 0 --no-browser", "\x03", console.Done, "Stopped."},
		{"serve . --port 0 --no-browser --lan", "\x03", console.Done, "Stopped."},
	} {
		status, said, took := onTerminal(t, program, c.line, c.typed)
		plain := strings.Join(strings.Fields(said), " ")
		if strings.HasSuffix(c.line, "--lan") && strings.Contains(plain, "in no network") {
			continue
		}
		assert.Equal(t, c.status, status, "%s: %s", c.line, said)
		assert.Contains(t, plain, c.says, c.line)
		assert.NotContains(t, said, "goroutine ", c.line)
		assert.NotContains(t, said, "\x1b]", c.line)
		if c.typed == "\x03" {
			assert.Less(t, took, 3*time.Second, "%s: Ctrl-C", c.line) // a second, and what a busy machine adds
		}
	}
	for name, text := range snapshot(t) {
		if was, ok := given[name]; ok {
			assert.Equal(t, was, text, name)
		}
	}
	requireNothingHalf(t)
	assert.NoFileExists(t, ".r.csv.lock")
}
