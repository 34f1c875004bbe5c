package api

import (
	"context"
	"net/http"
)

// Turns lets only so many calculations run at once and a few more wait, so
// that a crowd of requests is answered late or refused, and never so slowly
// that nobody is answered. A nil Turns lets everyone in.
type Turns struct {
	inside chan struct{} // one for each that runs or waits
	runs   chan struct{} // one for each that runs
}

// waitingEach is how many may wait for each that runs: with a search of about
// half a second the last of them waits eight. Our own choice.
const waitingEach = 16

// comeBack is when a client that was refused should try again, in seconds.
// About half of what the longest wait takes; our own choice.
const comeBack = "5"

// NewTurns lets as many run at once as it is told.
func NewTurns(atOnce int) *Turns {
	return &Turns{inside: make(chan struct{}, atOnce*(1+waitingEach)), runs: make(chan struct{}, atOnce)}
}

// take waits for a turn and returns what gives it back. It refuses when too
// many wait already, and ends when the request does.
func (t *Turns) take(ctx context.Context) (giveBack func(), err error) {
	if t == nil {
		return func() {}, nil
	}
	select {
	case t.inside <- struct{}{}:
	default:
		return nil, refuse(http.StatusServiceUnavailable, "busy", "too many sheets are being worked out", "try again in a few seconds")
	}
	select {
	case t.runs <- struct{}{}:
		return func() { <-t.runs; <-t.inside }, nil
	case <-ctx.Done():
		<-t.inside
		return nil, ctx.Err()
	}
}
