package agronomy

import "testing"

func TestPassesAreListedAsAPersonSaysThem(t *testing.T) {
	for want, numbers := range map[string][]int{
		"pass 3": {3}, "passes 2 to 9": {2, 3, 4, 5, 6, 7, 8, 9}, "passes 1 and 4": {1, 4}, "passes 1, 3 to 5 and 8": {1, 3, 4, 5, 8},
	} {
		if got := passWords(numbers); got != want {
			t.Errorf("%v: %q, want %q", numbers, got, want)
		}
	}
}
