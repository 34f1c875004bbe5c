package api

import (
	"context"

	"evenfall/server/record"
)

// checked is a shelf for clients: what they send is checked, and completed
// where it follows from the rest, before it is kept.
type checked[T any] struct {
	record.Shelf[T]
	complete func(*T) error
}

// Create keeps a record that passes.
func (c checked[T]) Create(ctx context.Context, r T) (T, error) {
	if err := c.complete(&r); err != nil {
		return r, err
	}
	return c.Shelf.Create(ctx, r)
}

// Update keeps a changed record that passes.
func (c checked[T]) Update(ctx context.Context, r T) (T, error) {
	if err := c.complete(&r); err != nil {
		return r, err
	}
	return c.Shelf.Update(ctx, r)
}
