"""The same answers and the same log as data: a JSON API, described at `/openapi.json`."""
