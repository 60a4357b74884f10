// Command roodbeam is the thin client on the command line: it calls the
// services and shows their answers.
package main

import (
	"os"

	"roodbeam/clients/cli/command"
)

func main() { os.Exit(command.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }
