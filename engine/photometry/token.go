package photometry

import (
	"math"
	"strconv"
	"strings"
)

// token is one number of a file with its line, counted from 1.
type token struct {
	text string
	line int
}

// numbers reads a stream of numbers, whatever lines they stand on.
type numbers struct {
	tokens []token
	next   int
	last   int // line of the end of the file
}

// split cuts lines into tokens at blanks and at the separators given besides.
func split(lines []string, firstLine int, separators string) *numbers {
	n := &numbers{last: firstLine + len(lines) - 1}
	cut := func(r rune) bool {
		return r == ' ' || r == '\t' || r == '\u00a0' || strings.ContainsRune(separators, r)
	}
	for i, l := range lines {
		for _, t := range strings.FieldsFunc(l, cut) {
			n.tokens = append(n.tokens, token{t, firstLine + i})
		}
	}
	return n
}

func (n *numbers) left() int { return len(n.tokens) - n.next }

// line returns the line of the next number, or the last line at the end.
func (n *numbers) line() int {
	if n.left() == 0 {
		return n.last
	}
	return n.tokens[n.next].line
}

// float returns the next number; what names it for the reader of a refusal.
func (n *numbers) float(what string) (float64, error) {
	if n.left() == 0 {
		return 0, refuse(n.last, "the file ends where %s should stand", what)
	}
	t := n.tokens[n.next]
	v, ok := parseFloat(t.text)
	if !ok {
		return 0, refuse(t.line, "%s: %.40q is not a number", what, t.text)
	}
	n.next++
	return v, nil
}

// count returns the next number as a whole one within least..most.
func (n *numbers) count(what string, least, most int) (int, error) {
	line := n.line()
	v, err := n.float(what)
	if err != nil {
		return 0, err
	}
	if v != math.Trunc(v) || v < float64(least) || v > float64(most) {
		return 0, refuse(line, "%s: %g is not a whole number from %d to %d", what, v, least, most)
	}
	return int(v), nil
}

// list returns the next k numbers and the line of the first.
func (n *numbers) list(what string, k int) ([]float64, int, error) {
	line := n.line()
	if n.left() < k {
		return nil, 0, refuse(n.last, "%s: %d numbers are missing at the end of the file", what, k-n.left())
	}
	out := make([]float64, k)
	for i := range out {
		v, err := n.float(what)
		if err != nil {
			return nil, 0, err
		}
		out[i] = v
	}
	return out, line, nil
}

// parseFloat reads a plain decimal number: no hexadecimal, no infinities, no
// digit separators.
func parseFloat(s string) (float64, bool) {
	if strings.Trim(s, "0123456789+-.eE") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil && !math.IsInf(v, 0)
}
