"""Server: the app on a port: who gets in, how long anybody waits, what logs and monitors tell."""
