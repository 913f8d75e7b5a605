"""The commands, one module each: ``add(parser)`` declares options, ``run(arguments)`` gives the exit code."""
