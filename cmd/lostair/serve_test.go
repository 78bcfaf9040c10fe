package main

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
)

// serving is a running lostair serve.
type serving struct {
	link   string
	stop   context.CancelFunc
	status chan int
	said   *bytes.Buffer
}

func startServe(t *testing.T, args ...string) *serving {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	out, in := io.Pipe()
	s := &serving{stop: stop, status: make(chan int, 1), said: &bytes.Buffer{}}
	go func() {
		s.status <- run(ctx, append([]string{"serve", "--no-browser"}, args...), console.Streams{In: strings.NewReader(""), Out: in, Err: s.said, Env: func(string) string { return "" }})
		in.Close()
	}()
	lines := bufio.NewReader(out)
	line, err := lines.ReadString('\n')
	require.NoError(t, err, s.said)
	go io.Copy(io.Discard, lines)
	s.link = strings.TrimSpace(line)
	t.Cleanup(stop)
	return s
}

func TestServe(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	dir := t.TempDir()
	s := startServe(t, dir, "--port", "0")
	require.Regexp(t, `^http://127\.0\.0\.1:[0-9]+/\?key=[0-9a-f]{32}$`, s.link)
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	c := &http.Client{Jar: jar}
	u, err := url.Parse(s.link)
	require.NoError(t, err)
	base := "http://" + u.Host

	r, err := c.Get(base)
	require.NoError(t, err)
	assert.Equal(t, 403, r.StatusCode, "without the key")
	r, err = c.Get(s.link)
	require.NoError(t, err)
	assert.Equal(t, 200, r.StatusCode)
	assert.Equal(t, base+"/", r.Request.URL.String(), "the key is gone from the address")
	r, err = c.PostForm(base+"/new", url.Values{"name": {"Our shop"}, "units": {"us"}})
	require.NoError(t, err)
	assert.Equal(t, 200, r.StatusCode)
	data, err := os.ReadFile(filepath.Join(dir, "system.yaml"))
	require.NoError(t, err)
	assert.Contains(t, string(data), "name: Our shop\nunits: us\n")

	s.stop() // as Ctrl-C does
	assert.Equal(t, console.Done, <-s.status)
	assert.Contains(t, s.said.String(), "Stopped.")
	again, err := os.ReadFile(filepath.Join(dir, "system.yaml"))
	require.NoError(t, err)
	assert.Equal(t, data, again)
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, left, 1)
}

// Without --port the port and the key of the last time hold; with it they don't.
func TestServeFindsItsWayHome(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	dir, other := t.TempDir(), t.TempDir()
	link := func(args ...string) string {
		s := startServe(t, args...)
		s.stop()
		require.Equal(t, console.Done, <-s.status, s.said)
		return s.link
	}
	first := link(dir)
	assert.Equal(t, first, link(dir))
	assert.NotEqual(t, first, link(other))
	assert.NotEqual(t, first, link(dir, "--port", "0"))
	assert.Equal(t, first, link(dir))
}

func TestServeRefuses(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "a.txt")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	for _, args := range [][]string{{filepath.Join(dir, "none")}, {file}, {dir, "--port", "70000"}, {dir, dir}} {
		var said bytes.Buffer
		status := run(context.Background(), append([]string{"serve", "--no-browser"}, args...), console.Streams{Out: io.Discard, Err: &said, Env: func(string) string { return "" }})
		assert.Equal(t, console.NotDone, status, args)
		assert.NotEmpty(t, said.String())
	}
}
