package app

import (
	"io/fs"
	"net/http"
	"strings"

	"roodbeam/clients/web"
)

// pages serves the web client. A path of an API method that came without the
// headers of a known protocol gets an answer that says so, not a page.
func pages() http.Handler {
	files := web.Files()
	static := http.FileServerFS(files)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, "/roodbeam.v1.") || strings.HasPrefix(r.URL.Path, "/grpc.") {
			http.Error(w, "no such method, or the header Connect-Protocol-Version: 1 is missing", http.StatusNotFound)
			return
		}
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			http.Error(w, "method not allowed", http.StatusMethodNotAllowed)
			return
		}
		// Pages of the one-page client have no file of their own.
		if name := strings.TrimPrefix(r.URL.Path, "/"); name != "" {
			if _, err := fs.Stat(files, name); err != nil {
				r.URL.Path = "/"
			}
		}
		static.ServeHTTP(w, r)
	})
}

// secured sets the headers that keep a page from being framed, sniffed or fed
// with foreign scripts.
func secured(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Content-Security-Policy", "default-src 'self'; img-src 'self' data: blob:; style-src 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'")
		next.ServeHTTP(w, r)
	})
}
