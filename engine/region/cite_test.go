package region

import "testing"

func TestOwnFirst(t *testing.T) {
	for _, c := range []struct{ region, source, want string }{
		{"metric", "NFPA 70-2023 210.20(A); IEC 60364-4-43 433.1.1, Ib ≤ In", "IEC 60364-4-43 433.1.1, Ib ≤ In; NFPA 70-2023 210.20(A)"},
		{"us", "NFPA 70-2023 210.20(A); IEC 60364-4-43 433.1.1", "NFPA 70-2023 210.20(A); IEC 60364-4-43 433.1.1"},
		{"metric", "limit: rating (NFPA 70: 125 %; IEC 60364: 100 %); common practice", "limit: rating (NFPA 70: 125 %; IEC 60364: 100 %); common practice"},
		{"metric", "NFPA 70 240", "NFPA 70 240"},
		{"metric", "", ""},
	} {
		if got := OwnFirst(c.source, c.region); got != c.want {
			t.Errorf("%s: %q, want %q", c.region, got, c.want)
		}
	}
}
