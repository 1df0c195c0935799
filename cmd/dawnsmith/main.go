// Command dawnsmith designs, predicts, measures and compares bright lamps.
package main

import (
	"context"
	"os"
	"os/signal"

	"dawnsmith/internal/cli"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(cli.Run(ctx, os.Args[1:], cli.Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}))
}
