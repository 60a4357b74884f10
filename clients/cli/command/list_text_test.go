package command

import (
	"bytes"
	"testing"
	"unicode/utf16"
	"unicode/utf8"
)

func TestListText(t *testing.T) {
	const text = "distance,A,,B,\"12' 6½\"\"\",2°\n"
	little, big := []byte{0xff, 0xfe}, []byte{0xfe, 0xff}
	for _, u := range utf16.Encode([]rune(text)) {
		little = append(little, byte(u), byte(u>>8))
		big = append(big, byte(u>>8), byte(u))
	}
	var western []byte
	for _, r := range text {
		western = append(western, byte(r)) // all below U+0100
	}
	for name, raw := range map[string][]byte{"UTF-8": []byte(text), "UTF-16 little end first": little, "UTF-16 big end first": big, "Windows": western} {
		if got, err := listText(raw); err != nil || got != text {
			t.Errorf("%s: %q, %v", name, got, err)
		}
	}
	for name, raw := range map[string][]byte{"workbook": []byte("PK\x03\x04\x00\x00"), "noise": bytes.Repeat([]byte{0, 1, 2, 255}, 9)} {
		if got, err := listText(raw); err == nil {
			t.Errorf("%s is read as %q", name, got)
		}
	}
}

// Whatever bytes come, text that gRPC carries or a refusal comes out.
func FuzzListText(f *testing.F) {
	f.Add([]byte("kind,from\n"))
	f.Add([]byte{0xff, 0xfe, 'a', 0})
	f.Add([]byte{0xbd, 0x81})
	f.Fuzz(func(t *testing.T, raw []byte) {
		if text, err := listText(raw); err == nil && !utf8.ValidString(text) {
			t.Errorf("%q", text)
		}
	})
}
