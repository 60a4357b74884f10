package command

import (
	"bytes"
	"errors"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// listText returns a list as a spreadsheet saved it: UTF-8, UTF-16 with its mark, or
// the Windows code page of western Europe, in which ½ and ° are single bytes that
// UTF-8 does not know. What is no text at all is refused.
func listText(raw []byte) (string, error) {
	switch {
	case bytes.HasPrefix(raw, []byte{0xff, 0xfe}), bytes.HasPrefix(raw, []byte{0xfe, 0xff}):
		text, err := unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder().Bytes(raw)
		if err != nil {
			return "", errNoText
		}
		return string(text), nil
	case bytes.IndexByte(raw, 0) >= 0:
		return "", errNoText
	case utf8.Valid(raw):
		return string(raw), nil
	}
	text, err := charmap.Windows1252.NewDecoder().Bytes(raw)
	return string(text), err
}

var errNoText = errors.New("this is no list of text; save the sheet as CSV")
