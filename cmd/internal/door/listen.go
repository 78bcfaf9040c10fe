package door

import (
	"context"
	"net"
	"net/http"
	"os/exec"
	"runtime"
)

// Open makes a door and listens on its port, of this machine for itself alone or,
// with hosts, for the networks in which it has these addresses; "0" is any port
// that is free.
func Open(port, key string, hosts ...string) (*Door, error) {
	host := "127.0.0.1"
	if len(hosts) > 0 {
		host = "0.0.0.0"
	}
	l, err := net.Listen("tcp4", net.JoinHostPort(host, port))
	if err != nil {
		return nil, err
	}
	_, at, err := net.SplitHostPort(l.Addr().String())
	if err != nil {
		l.Close()
		return nil, err
	}
	d := New(key, at, hosts...)
	d.listener = l
	return d, nil
}

// Serve answers with h who comes in by the door, until ctx ends.
func (d *Door) Serve(ctx context.Context, h http.Handler) error {
	return serve(ctx, d.listener, d.Guard(h), d.Work)
}

// Close stops listening.
func (d *Door) Close() error { return d.listener.Close() }

// OpenBrowser opens an address as the system does. Where it can't, nothing is
// said: the address was printed.
func OpenBrowser(link string) {
	name, args := "xdg-open", []string{link}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", link}
	}
	if c := exec.Command(name, args...); c.Start() == nil {
		go c.Wait()
	}
}
