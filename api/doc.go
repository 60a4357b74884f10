// Package api holds the contract of the Roodbeam services: the protos, and the code generated from them under
// gen. Run `buf generate` in this folder after a change; the test of this package fails on a difference.
package api
