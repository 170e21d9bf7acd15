"""Readings in and states out over MQTT, beside the pages: hears sensors, tells how things stand."""
