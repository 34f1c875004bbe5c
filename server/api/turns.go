package api

import (
	"context"
	"net/http"
	"time"
)

// Turns lets only so many calculations run at once and a few more wait, so
// that a crowd of requests is answered late or refused, and never so slowly
// that nobody is answered. A nil Turns lets everyone in.
type Turns struct {
	inside chan struct{} // one for each that runs or waits
	runs   chan struct{} // one for each that runs
}

// How many may wait for each that runs, and how long: a search takes a tenth of
// a second on a quarter acre and some seconds on twenty, and a reply has to be
// out within the writing time. Our own choice.
const (
	waitingEach = 16
	waitMost    = 20 * time.Second
)

// comeBack is when a client that was refused should try again, in seconds.
// Our own choice.
const comeBack = "5"

// NewTurns lets as many run at once as it is told.
func NewTurns(atOnce int) *Turns {
	return &Turns{inside: make(chan struct{}, atOnce*(1+waitingEach)), runs: make(chan struct{}, atOnce)}
}

// take waits for a turn and returns what gives it back. It refuses when too
// many wait already or the wait grows too long, and ends when the request does.
func (t *Turns) take(ctx context.Context) (giveBack func(), err error) {
	if t == nil {
		return func() {}, nil
	}
	select {
	case t.inside <- struct{}{}:
	default:
		return nil, busy()
	}
	select {
	case t.runs <- struct{}{}:
		return func() { <-t.runs; <-t.inside }, nil
	case <-time.After(waitMost):
		<-t.inside
		return nil, busy()
	case <-ctx.Done():
		<-t.inside
		return nil, ctx.Err()
	}
}

func busy() error {
	return refuse(http.StatusServiceUnavailable, "busy", "too much is being worked out at once", "try again in a few seconds")
}
