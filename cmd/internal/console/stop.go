package console

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"sync"
	"time"

	"lostair/cmd/internal/disk"
)

// Patience is how long the work may take to stop once it is told to.
const Patience = time.Second

// Stopping gives a context that ends with the first signal to stop.
func Stopping() (context.Context, context.CancelFunc) {
	ctx, stop := signal.NotifyContext(context.Background(), stops...)
	idle := hurry(ctx)
	return ctx, func() { idle(); stop() }
}

// hurry ends the process if work has not stopped by itself a second after its
// context ended (it may be waiting for a pipe), and leaves no half-written file.
// What it returns says that the work is done.
func hurry(ctx context.Context) func() {
	finished := make(chan struct{})
	go func() {
		select {
		case <-ctx.Done():
		case <-finished:
			return
		}
		select {
		case <-time.After(Patience):
			disk.Abandon()
			fmt.Fprintln(os.Stderr, "lostair: stopped")
			os.Exit(Stopped)
		case <-finished:
		}
	}()
	var once sync.Once
	return func() { once.Do(func() { close(finished) }) }
}
