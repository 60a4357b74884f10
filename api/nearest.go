package api

import "strings"

// Nearest returns the name that a person most likely meant by given, or "" when
// none is near enough to be a slip of the pen: at most one letter in three is
// wrong, left out or too many. Case counts for nothing. Of names equally near
// the first of the list wins, so the same question has the same answer.
func Nearest(given string, names []string) string {
	g := []rune(strings.ToLower(strings.TrimSpace(given)))
	best, least := "", len(g)/3+2
	for _, name := range names {
		n := []rune(strings.ToLower(name))
		if d := len(n) - len(g); d >= least || -d >= least {
			continue
		}
		// Where every letter would change, nothing was meant.
		if dist := distance(g, n, least); dist < least && dist < max(len(g), len(n)) {
			best, least = name, dist
		}
	}
	return best
}

// distance is the Levenshtein distance, with two neighbours that changed places
// counted as one slip; whatever is not below enough counts as enough.
func distance(a, b []rune, enough int) int {
	before, row, next := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	least := 0 // of the row before
	for i := 1; i <= len(a); i++ {
		next[0] = i
		now := i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			next[j] = min(row[j]+1, next[j-1]+1, row[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				next[j] = min(next[j], before[j-2]+1)
			}
			now = min(now, next[j])
		}
		// What follows rests on these two rows and only grows.
		if now >= enough && least >= enough {
			return enough
		}
		least = now
		before, row, next = row, next, before
	}
	return min(row[len(b)], enough)
}
