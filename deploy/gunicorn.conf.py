"""Gunicorn for a server of its own (`temperward serve` needs none of this): threads, one engine a worker."""

from __future__ import annotations

import os

from temperward.patience import patient_hooks

bind = os.environ.get("TEMPERWARD_BIND", "127.0.0.1:8000")
wsgi_app = "temperward.app:create_app()"
# gunicorn's gthread, because with plain workers one slow photo upload holds a worker until it is killed; ours
# waits for a phone that is gone to hang up where nobody else waits.
worker_class = "temperward.patient_worker.PatientWorker"
workers = int(os.environ.get("TEMPERWARD_WORKERS", "1"))
threads = int(os.environ.get("TEMPERWARD_THREADS", "16"))
preload_app = True  # workers share what is loaded; a wrong setting ends the start, not each worker
timeout = 60
graceful_timeout = 20
keepalive = 30
control_socket_disable = True
# No phone that was cut off in the middle of a call holds a thread for ever.
when_ready = patient_hooks()["when_ready"]
