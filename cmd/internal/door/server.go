package door

import (
	"context"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"sync"
	"time"
)

// mostConnections is how many may be open at once; more wait.
const mostConnections = 64

// toSend is how long an answer may take to be sent, once it is worked out.
const toSend = time.Minute

// serve answers on l until ctx ends; what is being answered then is answered
// still, for some seconds. The work on an answer takes so long at most; 0: as long as it
// takes.
func serve(ctx context.Context, l net.Listener, h http.Handler, work time.Duration) error {
	if work > 0 {
		work += toSend
	}
	s := &http.Server{
		Handler:           h,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       30 * time.Second,
		WriteTimeout:      work,
		IdleTimeout:       60 * time.Second,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          log.New(io.Discard, "", 0), // who knocks at a port is no news
		BaseContext:       func(net.Listener) context.Context { return context.WithoutCancel(ctx) },
	}
	ended := make(chan error, 1)
	go func() {
		<-ctx.Done()
		last, stop := context.WithTimeout(context.Background(), 5*time.Second)
		defer stop()
		err := s.Shutdown(last)
		if errors.Is(err, context.DeadlineExceeded) {
			err = s.Close()
		}
		ended <- err
	}()
	err := s.Serve(&few{Listener: l, free: make(chan struct{}, mostConnections), closed: make(chan struct{})})
	if errors.Is(err, http.ErrServerClosed) {
		return <-ended
	}
	return err
}

// few is a listener with so many connections at most.
type few struct {
	net.Listener
	free   chan struct{}
	closed chan struct{}
	once   sync.Once
}

func (f *few) Accept() (net.Conn, error) {
	select {
	case f.free <- struct{}{}:
	case <-f.closed:
		return nil, net.ErrClosed
	}
	c, err := f.Listener.Accept()
	if err != nil {
		<-f.free
		return nil, err
	}
	return &counted{Conn: c, free: f.free}, nil
}

func (f *few) Close() error {
	f.once.Do(func() { close(f.closed) })
	return f.Listener.Close()
}

type counted struct {
	net.Conn
	free chan struct{}
	once sync.Once
}

func (c *counted) Close() error {
	err := c.Conn.Close()
	c.once.Do(func() { <-c.free })
	return err
}
