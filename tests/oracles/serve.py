"""Serves a place for a drop on loopback: `serve.py s3` (moto, in memory) or `serve.py webdav FOLDER` (wsgidav).

It picks a free port, says it on one line (`port N`) once it listens, and ends when its standard input does. It never
listens anywhere but on 127.0.0.1, and keeps nothing but in the folder it was given.
"""

import os
import sys
import threading

HOST = "127.0.0.1"


def s3():
    """moto's server: every bucket and key in memory, any key id is let in."""
    from moto.moto_server.werkzeug_app import DomainDispatcherApplication, create_backend_app
    from werkzeug.serving import WSGIRequestHandler, make_server

    class Quiet(WSGIRequestHandler):
        def log(self, kind, message, *args):
            pass

    app = DomainDispatcherApplication(create_backend_app)
    server = make_server(HOST, 0, app, threaded=True, request_handler=Quiet)
    return server.server_port, server.serve_forever


def webdav(folder):
    """wsgidav over cheroot, with one user."""
    from cheroot import wsgi
    from wsgidav.wsgidav_app import WsgiDAVApp

    app = WsgiDAVApp(
        {
            "provider_mapping": {"/": folder},
            "http_authenticator": {"accept_basic": True, "accept_digest": False, "default_to_digest": False},
            "simple_dc": {"user_mapping": {"*": {"dilys": {"password": "a lathe and a kettle"}}}},
            "verbose": 0,
            "logging": {"enable": False},
        }
    )
    server = wsgi.Server(bind_addr=(HOST, 0), wsgi_app=app)
    server.prepare()
    return server.bind_addr[1], server.serve


def main():
    """Starts the server that was asked for."""
    port, serve = s3() if sys.argv[1] == "s3" else webdav(sys.argv[2])
    threading.Thread(target=serve, daemon=True).start()
    print(f"port {port}", flush=True)
    sys.stdin.read()
    # Both servers keep threads that would go on waiting for calls.
    os._exit(0)


main()
