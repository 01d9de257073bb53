"""Holds the running service against its own description.

The description must be a valid OpenAPI document, and requests that are generated from it must find no server error
and no answer of another form than described. The service listens on 127.0.0.1 and ends with this program.

Needs the packages of requirements.txt; builds the command with cargo, as the tests do.
"""

import json
import pathlib
import subprocess
import sys
import tempfile
import time
import urllib.request

import openapi_spec_validator

REPOSITORY = pathlib.Path(__file__).parents[2]
PICTURE = REPOSITORY / "testimages/edge/crop-8.png"
CHECKS = "not_a_server_error,response_schema_conformance,content_type_conformance"
# Requests for each address; our choice: a minute and a half on two cores.
EXAMPLES = "12"
SETTINGS = [
    "public_uploads_per_hour=100000",
    "public_uploads_at_once=10000",
    "public_questions_per_hour=10000000",
    "most_upload_mib=1",
]


def started(program, data):
    """Starts the service; gives the process and its address."""
    command = [program, "serve", "--listen", "127.0.0.1:0", "--data-folder", data]
    for setting in SETTINGS:
        command += ["--set", setting]
    service = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    for line in service.stderr:
        if line.startswith("ready: "):
            return service, line.split()[1]
    sys.exit("the service did not start")


def asked(address, data=None, key=None):
    """The JSON of an answer."""
    request = urllib.request.Request(address, data=data)
    request.add_header("Content-Type", "application/octet-stream")
    if key:
        request.add_header("Authorization", f"Bearer {key}")
    with urllib.request.urlopen(request) as answer:
        return json.load(answer)


def counted(address, path):
    """Waits until an upload is counted."""
    for _ in range(600):
        if asked(address + path)["state"] == "counted":
            return
        time.sleep(0.1)
    sys.exit("the picture is never counted")


def generated(address, key, folder, known, further):
    """Sends generated requests; what is known takes the place of made-up names."""
    lines = [f'"{name}" = {json.dumps(value)}' for name, value in known.items()]
    settings = pathlib.Path(folder, "schemathesis.toml")
    settings.write_text("\n".join(["[parameters]", *lines, ""]))
    command = [sys.executable, "-m", "schemathesis.cli", "--config-file", str(settings)]
    command += ["run", f"{address}/api/v1/openapi.json", "--checks", CHECKS]
    command += ["--max-examples", EXAMPLES, "--seed", "1", "--generation-database", "none"]
    # A policy that nobody asked for before takes a separation of its own.
    command += ["--request-timeout", "120"]
    command += ["--header", f"Authorization: Bearer {key}", *further]
    subprocess.run(command, check=True, cwd=folder)


def main():
    subprocess.run(["cargo", "build", "--quiet", "--locked", "-p", "inkfathom"], check=True, cwd=REPOSITORY)
    program = str(REPOSITORY / "target/debug/inkfathom")
    with tempfile.TemporaryDirectory() as folder:
        data = str(pathlib.Path(folder, "data"))
        service, address = started(program, data)
        try:
            words = ["keys", "make", "--role", "studio", "--label", "oracle", "--data-folder", data]
            made = subprocess.run([program, *words], check=True, capture_output=True, text=True)
            key = made.stdout.strip()
            openapi_spec_validator.validate(asked(f"{address}/api/v1/openapi.json"))
            sent = asked(f"{address}/api/v1/public/uploads?name=crop.png&width=10cm", PICTURE.read_bytes())
            counted(address, f"/api/v1/shared/{sent['token']}")
            known = {"path.id": sent["id"], "path.token": sent["token"], "path.number": "1"}
            generated(address, key, folder, known, ["--exclude-method", "DELETE"])
            generated(address, key, folder, {}, [])
            if service.poll() is not None:
                sys.exit("the service ended")
        finally:
            service.terminate()
            service.wait()
    print("the description is valid, and no generated request found a server error")


if __name__ == "__main__":
    main()
