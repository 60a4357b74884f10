package si

import (
	"math"
	"strconv"
	"strings"
)

// number is one number of a typed text, read but not yet given a unit.
type number struct {
	value float64
	step  float64 // the smallest difference the way of writing can show: 0.01 for "3.81", 0.5 for "6 1/2"
	text  string
	// whole is the integer part and after the digits behind the point, for
	// "11.10" written where 11 ft 10 in was meant.
	whole, after string
	fraction     bool // a fraction bar was written
	hyphenated   bool // whole and fraction are joined by a hyphen: 6-1/2
	// comma is set when one comma with three digits after it may part the
	// thousands or the decimals; value takes it as decimal, thousands as the other.
	comma     bool
	thousands float64
}

// scanner walks a normalised text.
type scanner struct {
	s   string
	pos int
}

func (sc *scanner) space() {
	for sc.pos < len(sc.s) && sc.s[sc.pos] == ' ' {
		sc.pos++
	}
}

func (sc *scanner) done() bool { sc.space(); return sc.pos >= len(sc.s) }

func (sc *scanner) accept(c byte) bool {
	if sc.pos < len(sc.s) && sc.s[sc.pos] == c {
		sc.pos++
		return true
	}
	return false
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func (sc *scanner) digits() string {
	start := sc.pos
	for sc.pos < len(sc.s) && isDigit(sc.s[sc.pos]) {
		sc.pos++
	}
	return sc.s[start:sc.pos]
}

// sign reads one leading sign; the multiplier is −1 after a minus.
func (sc *scanner) sign() float64 {
	sc.space()
	switch {
	case sc.accept('-'):
		sc.space()
		return -1
	case sc.accept('+'):
		sc.space()
	}
	return 1
}

// word reads a unit: letters with marks of area and slash ("cd/m2"), a quote
// mark or a degree sign; a full stop after letters is part of the abbreviation.
func (sc *scanner) word() string {
	sc.space()
	rest := sc.s[sc.pos:]
	for _, mark := range []string{`"`, "'", "°"} {
		if strings.HasPrefix(rest, mark) {
			sc.pos += len(mark)
			return mark
		}
	}
	start := sc.pos
	for sc.pos < len(sc.s) {
		c := sc.s[sc.pos]
		letter := c >= 'a' && c <= 'z'
		if letter || (sc.pos > start && (c == '/' || (c == '2' && sc.s[sc.pos-1] == 'm'))) {
			sc.pos++
			continue
		}
		break
	}
	w := sc.s[start:sc.pos]
	if w != "" {
		sc.accept('.')
	}
	return w
}

// number reads an unsigned number: 12, 12.5, .5, 3,81, 1 234, 1,234.5, 6 1/2,
// 6-1/2, 7/8. The reason is set when a number begins but is wrong.
func (sc *scanner) number() (n number, reason string, ok bool) {
	sc.space()
	start := sc.pos
	n, ok = sc.decimal()
	if !ok {
		sc.pos = start
		return number{}, "", false
	}
	if n.after == "" && !n.comma {
		if reason = sc.fractionAfter(&n); reason != "" {
			return number{}, reason, true
		}
	}
	n.text = strings.TrimSpace(sc.s[start:sc.pos])
	if math.IsInf(n.value, 0) || math.IsInf(n.thousands, 0) {
		return number{}, "the number is far too large", true
	}
	return n, "", true
}

// fractionAfter reads what makes n a fraction ("/8") or a mixed number (" 1/2").
func (sc *scanner) fractionAfter(n *number) (reason string) {
	if sc.accept('/') {
		den := sc.digits()
		return n.setFraction(0, n.whole, den)
	}
	back := sc.pos
	sc.space()
	hyphen := sc.accept('-')
	sc.space()
	num := sc.digits()
	if num == "" || sc.pos == back || !sc.accept('/') {
		sc.pos = back
		return ""
	}
	n.hyphenated = hyphen
	whole := n.value
	if reason = n.setFraction(whole, num, sc.digits()); reason != "" {
		return reason
	}
	if n.value-whole >= 1 {
		return "the fraction after a whole number must be less than one"
	}
	return ""
}

func (n *number) setFraction(whole float64, num, den string) string {
	a, _ := strconv.ParseFloat(num, 64)
	b, err := strconv.ParseFloat(den, 64)
	if err != nil {
		return "a fraction needs a number under the bar"
	}
	if b == 0 {
		return "a fraction cannot have 0 under the bar"
	}
	n.fraction, n.value, n.step = true, whole+a/b, 1/b
	return ""
}

// decimal reads digits with decimal point or comma and thousands marks.
func (sc *scanner) decimal() (number, bool) {
	whole := sc.digits()
	// SI style: groups of three parted by a space, but not a mixed number.
	if len(whole) >= 1 && len(whole) <= 3 {
		for sc.groupOfThree() {
			whole += sc.s[sc.pos+1 : sc.pos+4]
			sc.pos += 4
		}
	}
	n := number{whole: whole, step: 1}
	mark := byte(0)
	if sc.pos < len(sc.s) && (sc.s[sc.pos] == '.' || sc.s[sc.pos] == ',') &&
		sc.pos+1 < len(sc.s) && isDigit(sc.s[sc.pos+1]) {
		mark = sc.s[sc.pos]
		sc.pos++
		n.after = sc.digits()
	}
	if whole == "" && n.after == "" {
		return number{}, false
	}
	// A second, different mark makes the first one the thousands'.
	if mark != 0 && len(n.after) == 3 && len(whole) >= 1 && len(whole) <= 3 && sc.pos+1 < len(sc.s) &&
		(sc.s[sc.pos] == '.' || sc.s[sc.pos] == ',') && sc.s[sc.pos] != mark && isDigit(sc.s[sc.pos+1]) {
		whole += n.after
		sc.pos++
		n.whole, n.after, mark = whole, sc.digits(), 0
	}
	if n.after == "" {
		n.value, _ = strconv.ParseFloat(whole, 64)
		return n, true
	}
	n.value, _ = strconv.ParseFloat("0"+whole+"."+n.after, 64)
	n.step = math.Pow(10, -float64(len(n.after)))
	if mark == ',' && len(n.after) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0' {
		n.comma = true
		n.thousands, _ = strconv.ParseFloat(whole+n.after, 64)
	}
	return n, true
}

// groupOfThree tells whether a space and exactly three digits follow, not the
// numerator of a fraction.
func (sc *scanner) groupOfThree() bool {
	rest := sc.s[sc.pos:]
	if len(rest) < 4 || rest[0] != ' ' || !isDigit(rest[1]) || !isDigit(rest[2]) || !isDigit(rest[3]) {
		return false
	}
	return len(rest) == 4 || !(isDigit(rest[4]) || rest[4] == '/')
}
