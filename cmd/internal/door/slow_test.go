package door

import (
	"context"
	"net"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Who begins a request and never ends it does not hold a connection for ever.
func TestWhoDawdlesIsCutOff(t *testing.T) {
	if testing.Short() {
		t.Skip("skipped: it waits for seconds")
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- serve(ctx, l, behind, time.Minute) }()
	c, err := net.Dial("tcp", l.Addr().String())
	require.NoError(t, err)
	begun := time.Now()
	_, err = c.Write([]byte("GET / HTTP/1.1\r\nHost: x\r\nX-Slow: "))
	require.NoError(t, err)
	require.NoError(t, c.SetReadDeadline(begun.Add(30*time.Second)))
	buf := make([]byte, 512)
	for err == nil {
		_, err = c.Read(buf)
	}
	assert.NotErrorIs(t, err, context.DeadlineExceeded)
	assert.Less(t, time.Since(begun), 20*time.Second)
	stop()
	assert.NoError(t, <-ended)
}

// Without an address of a network nobody but this machine can knock.
func TestLoopbackAlone(t *testing.T) {
	d, err := Open("0", NewKey())
	require.NoError(t, err)
	defer d.Close()
	at, ok := d.listener.Addr().(*net.TCPAddr)
	require.True(t, ok)
	assert.True(t, at.IP.IsLoopback(), at)
	addresses, err := net.InterfaceAddrs()
	require.NoError(t, err)
	for _, a := range addresses {
		n, ok := a.(*net.IPNet)
		if !ok || n.IP.IsLoopback() || n.IP.To4() == nil {
			continue
		}
		c, err := net.DialTimeout("tcp", net.JoinHostPort(n.IP.String(), d.Port), time.Second)
		if err == nil {
			c.Close()
		}
		assert.Error(t, err, "%s lets in", n.IP)
	}
}
