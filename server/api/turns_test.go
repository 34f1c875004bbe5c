package api

import (
	"context"
	"errors"
	"net/http"
	"testing"
	"testing/synctest"
	"time"
)

// queue is a Turns with requests in it, each known by its number.
type queue struct {
	*Turns
	got map[int]chan func() // one for each that waits or runs; what gives its turn back
	end map[int]chan error
}

// ask sends a request in, and waits until it runs, waits or is refused.
func (q queue) ask(ctx context.Context, number int) {
	q.got[number], q.end[number] = make(chan func(), 1), make(chan error, 1)
	go func(got chan func(), end chan error) {
		giveBack, err := q.take(ctx)
		if err != nil {
			end <- err
			return
		}
		got <- giveBack
	}(q.got[number], q.end[number])
	synctest.Wait()
}

// running counts the requests that have a turn.
func (q queue) running() (n int) {
	for _, got := range q.got {
		n += len(got)
	}
	return n
}

func TestTurnsAreTakenAndGivenBack(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const atOnce, inside = 2, 2 * (1 + waitingEach)
		q := queue{NewTurns(atOnce), map[int]chan func(){}, map[int]chan error{}}
		impatient, leave := context.WithCancel(t.Context())
		for i := range inside {
			ctx := t.Context()
			if i == inside-1 {
				ctx = impatient
			}
			q.ask(ctx, i)
		}
		if q.running() != atOnce {
			t.Errorf("%d run at once", q.running())
		}
		q.ask(t.Context(), inside)
		if p := problemOf(<-q.end[inside]); p.Status != http.StatusServiceUnavailable || p.Code != "busy" || p.Remedy == "" {
			t.Errorf("one too many is told %+v", p)
		}

		leave()
		if err := <-q.end[inside-1]; !errors.Is(err, context.Canceled) {
			t.Errorf("one that left is told %v", err)
		}
		q.ask(t.Context(), inside) // takes the place of the one that left
		for served := range inside {
			synctest.Wait()
			if want := min(atOnce, inside-served); q.running() != want {
				t.Fatalf("%d run after %d are served, want %d", q.running(), served, want)
			}
			for i, got := range q.got {
				if len(got) > 0 {
					(<-got)()
					delete(q.got, i)
					break
				}
			}
		}
	})
}

func TestAWaitEnds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		turns := NewTurns(1)
		giveBack, err := turns.take(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		began := time.Now()
		if _, err := turns.take(t.Context()); problemOf(err).Code != "busy" || time.Since(began) != waitMost {
			t.Errorf("after %v: %v", time.Since(began), err)
		}
		giveBack()
		if giveBack, err = turns.take(t.Context()); err != nil {
			t.Errorf("its place is not free again: %v", err)
		} else {
			giveBack()
		}
	})
}

func TestNoTurnsLetEveryoneIn(t *testing.T) {
	var none *Turns
	giveBack, err := none.take(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	giveBack()
}
