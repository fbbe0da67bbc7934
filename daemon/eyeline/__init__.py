"""eyeline: measures, judges and annotates portraits as they arrive."""

import os

# Nothing leaves the machine: onnxruntime (1.32 on Linux) else gives it an identifier, keeps a record of each
# session and sends it to its makers. It looks at this when it is imported, so it is set before anything is.
os.environ["ORT_DISABLE_TELEMETRY"] = "1"
