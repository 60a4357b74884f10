// Package api holds the contract of the Roodbeam services: the protos, and the code generated from them under
// gen, which `buf generate` in this folder writes and the package's test compares. The package itself knows the
// words in which people write enum values.
package api
