package si

import "strings"

// vulgar are the one-glyph fractions people's keyboards make of 1/2 and the
// like (Unicode blocks Latin-1 Supplement and Number Forms).
var vulgar = map[rune]string{
	'½': "1/2", '¼': "1/4", '¾': "3/4",
	'⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8",
	'⅓': "1/3", '⅔': "2/3", '⅕': "1/5", '⅖': "2/5", '⅗': "3/5", '⅘': "4/5", '⅙': "1/6", '⅚': "5/6",
}

// normalise folds the many characters in which people write the same thing into
// plain ones: quotes, primes, dashes, spaces, the fraction slash, one-glyph
// fractions, upper case. Two apostrophes are an inch mark.
func normalise(text string) string {
	var b strings.Builder
	last := ' '
	for _, r := range text {
		switch r {
		case '′', '’', '‘', '´', '`', 'ʹ', '‵':
			r = '\''
		case '″', '”', '“', '„', '‟', 'ʺ', '˝':
			r = '"'
		case '–', '—', '‑', '‒', '‐', '―', '−', '﹣', '-':
			r = '-'
		case '⁄', '∕', '/':
			r = '/'
		case '\u00a0', '\u2002', '\u2003', '\u2007', '\u2009', '\u200a', '\u202f', '\t':
			r = ' '
		case '\u200b', '\ufeff', '\u2060':
			continue
		case 'º', '˚':
			r = '°'
		case '²':
			r = '2'
		}
		if f, ok := vulgar[r]; ok {
			if last >= '0' && last <= '9' {
				b.WriteByte(' ')
			}
			b.WriteString(f)
			last = '2'
			continue
		}
		b.WriteRune(r)
		last = r
	}
	s := strings.ToLower(strings.TrimSpace(b.String()))
	return strings.ReplaceAll(s, "''", `"`)
}
