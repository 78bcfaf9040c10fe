package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"sync"
	"time"

	"lostair/cmd/internal/disk"
)

// patience is how long the work may take to stop once it is told to.
const patience = time.Second

// stopping gives a context that ends with the first signal to stop.
func stopping() (context.Context, context.CancelFunc) {
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
		case <-time.After(patience):
			disk.Abandon()
			fmt.Fprintln(os.Stderr, "lostair: stopped")
			os.Exit(stopped)
		case <-finished:
		}
	}()
	var once sync.Once
	return func() { once.Do(func() { close(finished) }) }
}
