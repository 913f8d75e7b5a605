"""What somebody clumsy or hostile might hand the program: every test here says what was tried and what must hold."""
