"""Map the top-level folders onto one import package (pyproject cannot do both remapping and discovery)."""

from setuptools import find_packages, setup

MAP = {
    "strutwright": "src/strutwright",
    "strutwright.params": "params",
    "strutwright.models": "models",
    "strutwright.exporters": "exporters",
}
setup(
    packages=sorted(MAP) + [f"{name}.{sub}" for name, where in MAP.items() for sub in find_packages(where)],
    package_dir=MAP,
)
