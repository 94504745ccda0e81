package main

import (
	"context"
	"os"

	"ringtrue/internal/cli"
)

func main() {
	ctx, stop := cli.Signals(context.Background())
	code := cli.Run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}
